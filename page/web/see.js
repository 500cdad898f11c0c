// See: what plays, measured beside it, in four views.
let view = 'spectrum', frozen = false, seen = null;

async function look() {
  if ($('see').hidden || !playing || frozen) return;
  const width = widthOf('picture');
  const height = Math.round(Math.max(220, Math.min(460, 0.46 * width)));
  const shown = await ask('see', { view, width, height });
  if (!playing) return;
  if (shown.seconds < 0.2) {
    $('finding').textContent = 'The line settles.';
    return;
  }
  seen = shown;
  $('finding').innerHTML = shown.said;
  $('picture').innerHTML = shown.svg ?? `<p class="quiet">${empty[view]}</p>`;
  const level = ({ peak_dbfs, rms_dbfs, lufs }) => `peak ${told(peak_dbfs)} dBFS, r.m.s. ${told(rms_dbfs)} dBFS${lufs === null ? '' : `, ${told(lufs)} LUFS`}`;
  $('levels').textContent = `goes in: ${level(shown.before)}${shown.after ? ` · comes out: ${level(shown.after)}` : ''} · mean of ${told(shown.seconds)} s`;
  $('save-svg').disabled = $('save-png').disabled = !shown.drawing;
  $('save-csv').disabled = $('copy-csv').disabled = !shown.csv;
}

const empty = {
  spectrum: 'Nothing stands between 200 Hz and 1 kHz to refer the levels to.',
  bands: 'Nothing stands between 200 Hz and 1 kHz to refer the bands to; for a tone see Spectrum or Partials.',
  scope: 'The waves stand still for a tone only: start a test tone.',
  partials: 'No tone was found: start a test tone.',
};

function chooseView(next) {
  view = next;
  for (const button of document.querySelectorAll('.view')) button.setAttribute('aria-pressed', button.id === `view-${next}`);
  return look();
}

function savePng() {
  const image = new Image();
  image.onload = () => {
    const canvas = make('canvas', { width: 2 * image.width, height: 2 * image.height });
    canvas.getContext('2d').drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob((blob) => download(`${view}.png`, blob, 'image/png'));
  };
  image.src = URL.createObjectURL(new Blob([seen.drawing], { type: 'image/svg+xml' }));
}

for (const button of document.querySelectorAll('.view')) button.addEventListener('click', by(() => chooseView(button.id.slice(5))));
on('afresh', 'click', async () => {
  if (playing) await watch();
});
on('freeze', 'click', () => {
  frozen = !frozen;
  $('freeze').setAttribute('aria-pressed', frozen);
});
on('save-svg', 'click', () => download(`${view}.svg`, seen.drawing, 'image/svg+xml'));
on('save-png', 'click', savePng);
on('save-csv', 'click', () => download(`${view}.csv`, seen.csv, 'text/csv'));
on('copy-csv', 'click', async () => {
  await navigator.clipboard.writeText(seen.csv);
  say('The figures are copied.');
});
opened.see = by(look);
drawn.push(look);
setInterval(by(look), 500);
