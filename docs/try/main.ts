import { startReview } from '../../src/report/page/start-review.js';
import { PAGE_STYLE } from '../../src/report/page-style.js';
import { unpackReview } from '../../src/report/review/unpack-review.js';
import type { TryAnswer, TryRequest } from './messages.js';

const find = <T extends HTMLElement>(id: string) => document.getElementById(id) as T;
const file = find<HTMLInputElement>('file');
const told = find('told');
const bar = find<HTMLProgressElement>('progress');
let worker: Worker | undefined;

find('style').textContent = PAGE_STYLE;

/** Stops what runs and starts on a model. */
function start(request: TryRequest): void {
  worker?.terminate();
  worker = new Worker('/worker.js');
  worker.onmessage = (event: MessageEvent<TryAnswer>) => show(request.name, event.data);
  worker.onerror = (event) => show(request.name, { kind: 'failed', message: event.message });
  worker.postMessage(request);
  bar.hidden = false;
  bar.value = 0;
  told.textContent = `Reading ${request.name}`;
}

function show(name: string, answer: TryAnswer): void {
  if (answer.kind === 'progress') {
    bar.value = answer.share;
    told.textContent = answer.stage;
    return;
  }
  bar.hidden = true;
  if (answer.kind === 'failed') {
    told.textContent = answer.message;
    return;
  }
  told.textContent = [`Seam sets for ${name}.`, ...answer.notes].join(' ');
  const fresh = document.createElement('div');
  fresh.id = 'review';
  find('review').replaceWith(fresh);
  startReview(fresh, unpackReview(answer.review));
}

async function take(chosen: File | undefined): Promise<void> {
  if (chosen) start({ name: chosen.name, bytes: new Uint8Array(await chosen.arrayBuffer()) });
}

file.addEventListener('change', () => take(file.files?.[0]));
find('marionette').addEventListener('click', () => start({ name: 'marionette', bytes: undefined }));
document.addEventListener('dragover', (event) => event.preventDefault());
document.addEventListener('drop', (event) => {
  event.preventDefault();
  void take(event.dataTransfer?.files[0]);
});
