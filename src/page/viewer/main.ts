import { startViewer } from './viewer.js';

void startViewer(document).then((ready) => {
  document.documentElement.dataset.view = ready ? 'ready' : 'none';
});
