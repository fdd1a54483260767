import { unpackReview } from '../review/unpack-review.js';
import { startReview } from './start-review.js';

const root = document.getElementById('review');
const [head, body] = ['review-head', 'review-body'].map(
  (id) => document.getElementById(id)?.textContent ?? '',
);
if (root && head && body) {
  try {
    startReview(root, unpackReview({ head, body }));
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    root.textContent = `The pictures below stand for the figure, which this browser cannot draw (${reason}).`;
  }
}
