// The page's own: the engine in a worker, what is said, the parts, files that are kept.
'use strict';
const $ = (id) => document.getElementById(id);
const text = (id) => $(id).textContent;
const make = (name, attributes = {}, ...inside) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key in element && typeof value !== 'string') element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...inside);
  return element;
};
// A true minus, and no more digits than are told.
const told = (value, digits = 1) => value.toFixed(digits).replace('-', '\u2212');
const numberIn = (id) => {
  const number = parseFloat($(id).value.replace(',', '.').replace('\u2212', '-'));
  return Number.isFinite(number) ? number : null;
};

function say(words, isFault = false) {
  $('said').textContent = words;
  $('said').classList.toggle('fault', isFault);
}

let engine, worker, about;
const waiting = new Map();
let asked = 0;

function send(message, passed = []) {
  const id = ++asked;
  worker.postMessage({ id, ...message }, passed);
  return new Promise((resolve, reject) => waiting.set(id, { resolve, reject }));
}

// Asks the engine; what it cannot answer is said, and ends what was being done.
async function ask(what, more = {}) {
  return send({ ask: { do: what, ...more } });
}

const keepFile = (name, bytes) => send({ keep: name, bytes }, [bytes]);
const hear = (samples, channels, isInput) => worker.postMessage({ hear: samples, channels, isInput }, [samples.buffer]);

// Does something for a hand; a fault becomes one sentence.
const by = (doing) => async (event) => {
  try {
    await doing(event);
  } catch (fault) {
    say(fault.message, true);
  }
};
const on = (id, event, doing) => $(id).addEventListener(event, by(doing));

// What the page holds packed.
function unpacked(id) {
  const packed = Uint8Array.from(atob(text(id)), (letter) => letter.charCodeAt(0));
  return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip')));
}
on('licences', 'toggle', async () => { $('notices').textContent = await unpacked('notices-packed').text(); });

async function begin() {
  engine = await WebAssembly.compile(await unpacked('engine').arrayBuffer());
  worker = new Worker(URL.createObjectURL(new Blob([text('worker-text')], { type: 'text/javascript' })));
  worker.onmessage = ({ data }) => {
    const { resolve, reject } = waiting.get(data.id) ?? {};
    waiting.delete(data.id);
    if (data.answer?.error) reject?.(new Error(data.answer.error));
    else resolve?.(data.bytes ?? data.answer);
  };
  await send({ module: engine });
  about = await ask('about');
}

// Keeps bytes or words as a file of the person's.
function download(name, content, type) {
  const url = URL.createObjectURL(new Blob([content], { type }));
  make('a', { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

function dress() {
  document.head.prepend(make('style', {}, about.look));
  document.body.prepend(document.createRange().createContextualFragment(about.textures));
  $('version').textContent = about.version;
  $('cautions').append(...about.cautions.map((words) => make('li', {}, words)));
  const colours = () => {
    const system = matchMedia('(prefers-contrast: more)').matches ? 'contrast' : matchMedia('(prefers-color-scheme: dark)').matches ? 'night' : 'day';
    document.documentElement.style.cssText = about.colours[$('colours').value || system];
  };
  $('colours').addEventListener('change', colours);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', colours);
  colours();
}

// The parts, by click and by arrow keys.
const parts = ['hear', 'see', 'find', 'learn'];
const opened = {};
function open(part) {
  for (const each of parts) {
    const isOpen = each === part;
    $(each).hidden = !isOpen;
    $(`tab-${each}`).setAttribute('aria-selected', isOpen);
    $(`tab-${each}`).tabIndex = isOpen ? 0 : -1;
  }
  opened[part]?.();
}
for (const [i, part] of parts.entries()) {
  const tab = $(`tab-${part}`);
  tab.addEventListener('click', () => open(part));
  tab.addEventListener('keydown', ({ key }) => {
    const step = { ArrowRight: 1, ArrowLeft: parts.length - 1 }[key];
    if (!step) return;
    const next = parts[(i + step) % parts.length];
    open(next);
    $(`tab-${next}`).focus();
  });
}

// How wide a picture may be in an element.
const widthOf = (id) => Math.max(260, Math.min(1180, Math.floor($(id).clientWidth || document.body.clientWidth - 32)));

// What is drawn again when the page has another width.
const drawn = [];
let resizing;
addEventListener('resize', () => {
  clearTimeout(resizing);
  resizing = setTimeout(() => drawn.forEach((draw) => by(draw)()), 200);
});
