document.title += '';
