// The prediction's scatter plot as SVG, both axes logarithmic.
const SIZE = 560;
const LEFT = 64;
const TOP = 56;
const LOW = -4;
const HIGH = 1.6;
const COLOURS = { knobs: '#7a8ba0', marionette: '#b4552d', model: '#2f6f4f', proposal: '#5b3f8c' };
const LABELS = {
  knobs: 'knobbed shapes, random seams',
  marionette: 'marionettes, random seams',
  model: 'models, random seams',
  proposal: 'proposed seams',
};

const place = (value) => ((Math.log10(Math.max(value, 10 ** LOW)) - LOW) / (HIGH - LOW)) * SIZE;

export function drawPlot(records, lines) {
  const dots = records.map(({ source, energy, predicted }) => {
    const x = (LEFT + place(predicted - 4)).toFixed(1);
    const y = (TOP + SIZE - place(energy - 4)).toFixed(1);
    return `<circle cx="${x}" cy="${y}" r="2.2" fill="${COLOURS[source]}" fill-opacity="0.55"/>`;
  });
  const ticks = [];
  for (let power = LOW; power <= HIGH; power++) {
    const at = place(10 ** power);
    const label = Number((10 ** power).toPrecision(1));
    ticks.push(
      `<path d="M${LEFT + at} ${TOP}V${TOP + SIZE}M${LEFT} ${TOP + SIZE - at}H${LEFT + SIZE}" stroke="#ddd"/>`,
      `<text x="${LEFT + at}" y="${TOP + SIZE + 18}" text-anchor="middle">${label}</text>`,
      `<text x="${LEFT - 8}" y="${TOP + SIZE - at + 4}" text-anchor="end">${label}</text>`,
    );
  }
  const band = (factor, dash) => {
    const shift = (Math.log10(factor) / (HIGH - LOW)) * SIZE;
    return `<path d="M${LEFT} ${TOP + SIZE - shift}L${LEFT + SIZE} ${TOP - shift}" stroke="#333" stroke-width="1"${dash} clip-path="url(#frame)"/>`;
  };
  const legend = Object.keys(COLOURS)
    .filter((source) => records.some((record) => record.source === source))
    .map(
      (source, i) =>
        `<circle cx="${LEFT + 18}" cy="${TOP + 18 + 18 * i}" r="4" fill="${COLOURS[source]}"/><text x="${LEFT + 28}" y="${TOP + 22 + 18 * i}">${LABELS[source]}</text>`,
    );
  const notes = lines.map(
    (line, i) =>
      `<text x="${LEFT + SIZE - 10}" y="${TOP + SIZE - 12 - 16 * (lines.length - 1 - i)}" text-anchor="end">${line}</text>`,
  );
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${LEFT + SIZE + 24} ${TOP + SIZE + 56}" font-family="sans-serif" font-size="12">
<rect width="100%" height="100%" fill="#fff"/>
<text x="${LEFT}" y="24" font-size="15">Energy predicted without flattening, against energy measured</text>
<text x="${LEFT}" y="42" fill="#555">area-weighted mean symmetric Dirichlet energy less 4 (0 is isometry); charts not used for fitting</text>
<clipPath id="frame"><rect x="${LEFT}" y="${TOP}" width="${SIZE}" height="${SIZE}"/></clipPath>
${ticks.join('\n')}
${band(1, '')}
${band(1.15, ' stroke-dasharray="3 4"')}
${band(1 / 1.15, ' stroke-dasharray="3 4"')}
${dots.join('\n')}
<rect x="${LEFT}" y="${TOP}" width="${SIZE}" height="${SIZE}" fill="none" stroke="#333"/>
${legend.join('\n')}
${notes.join('\n')}
<text x="${LEFT + SIZE / 2}" y="${TOP + SIZE + 42}" text-anchor="middle">predicted</text>
<text transform="translate(18 ${TOP + SIZE / 2}) rotate(-90)" text-anchor="middle">measured (dashed: 15 % off)</text>
</svg>
`;
}
