import { packView } from '../../write/pack-view.js';
import type { ViewData } from '../../write/view-data.js';

addEventListener('message', ({ data }: MessageEvent<ViewData>) => postMessage(packView(data)));
