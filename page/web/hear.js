// Hear: a song or a test signal through the line, its settings, and comparing by ear.
let context, lineNode, volume, playing, song;
let values = [];
let heardWay = 'with';
let louderDb = 0;
let blind = null;

async function audio() {
  if (!context) {
    context = new AudioContext();
    // A blob is refused where the page is a file; words are not.
    await context.audioWorklet.addModule(`data:text/javascript,${encodeURIComponent(text('worklet-text'))}`);
    lineNode = new AudioWorkletNode(context, 'line', {
      numberOfInputs: 1, outputChannelCount: [2], processorOptions: { module: engine, values },
    });
    volume = new GainNode(context, { gain: 0 });
    lineNode.connect(volume).connect(context.destination);
    lineNode.port.onmessage = ({ data }) => {
      if (data.hear && playing && !frozen) hear(data.hear, 2, false);
      if (data.over) clipped(data.over);
    };
    turnVolume();
    weigh();
  }
  await context.resume();
}

const gain = (db) => (db <= -60 ? 0 : 10 ** (db / 20));
function turnVolume() {
  const db = +$('volume').value;
  $('volume-shown').textContent = db <= -60 ? 'off' : `${told(db, 0)} dB`;
  if (volume) volume.gain.setTargetAtTime(gain(db), context.currentTime, 0.02);
}

function clipped(loudest) {
  const over = told(20 * Math.log10(loudest));
  $('clip').hidden = false;
  $('clip').textContent = `full scale left by ${over} dB: lower the output`;
}

// With or without: the louder one is turned down by what it is louder, once that is known.
function weigh() {
  const down = [Math.min(0, louderDb), Math.min(0, -louderDb)].map((db) => 10 ** (db / 20));
  const gains = heardWay === 'with' ? [0, down[1]] : [down[0], 0];
  lineNode?.port.postMessage({ gains });
}

function hearWay(way) {
  heardWay = way;
  $('with').setAttribute('aria-pressed', !blind && way === 'with');
  $('without').setAttribute('aria-pressed', !blind && way === 'without');
  weigh();
}

async function play(buffer, name, { loop, hz, after }) {
  await audio();
  stop();
  const source = new AudioBufferSourceNode(context, { buffer, loop });
  source.connect(lineNode);
  playing = { source, name, hz, after };
  source.onended = () => playing?.source === source && silence();
  await watch();
  source.start();
  $('play').textContent = 'stop';
  $('play').disabled = false;
  say(`${name} plays.`);
}

function stop() {
  if (!playing) return;
  const { source, after } = playing;
  playing = null;
  after?.();
  source.onended = null;
  source.stop();
  source.disconnect();
}

function silence() {
  stop();
  $('play').textContent = 'play';
  $('play').disabled = !song;
  say('Silence.');
}

// Measures what plays, afresh.
const watch = () => ask('watch', { rate: context.sampleRate, values, name: playing?.name ?? '', hz: playing?.hz ?? null });

async function openSong(file) {
  await audio();
  let decoded;
  try {
    decoded = await context.decodeAudioData(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name} cannot be played by this browser`);
  }
  song = { name: file.name, buffer: decoded };
  louderDb = 0;
  $('louder').textContent = '';
  $('play').disabled = false;
  $('song-name').textContent = `${file.name}, ${Math.round(decoded.duration)} s; it stays on this machine`;
  await keepStretch(decoded);
  say(`${file.name} is ready.`);
}

// Twenty seconds from the middle, to compare how loud it is with and without.
async function keepStretch(buffer) {
  const frames = Math.min(buffer.length, Math.floor(20 * buffer.sampleRate));
  const from = Math.floor((buffer.length - frames) / 2);
  const both = new Float32Array(2 * frames);
  for (const side of [0, 1]) {
    const channel = buffer.getChannelData(Math.min(side, buffer.numberOfChannels - 1));
    both.set(channel.subarray(from, from + frames), side * frames);
  }
  await keepFile('.stretch', both.buffer);
}

async function matchLevels() {
  const { louder_db } = await ask('match', { name: '.stretch', rate: context?.sampleRate ?? 48000, values });
  louderDb = louder_db;
  const way = louder_db > 0 ? 'with' : 'without';
  $('louder').textContent = Math.abs(louder_db) < 0.05
    ? 'equally loud already'
    : `${way} was ${told(Math.abs(louder_db))} dB louder (ITU-R BS.1770): turned down by that`;
  weigh();
}

async function startTest() {
  const kind = $('kind').value, hz = numberIn('hz') ?? 60;
  const most = $('unlock').checked ? 0 : -12;
  const dbfs = Math.min(most, numberIn('dbfs') ?? -30);
  $('dbfs').value = `${told(dbfs, 0)} dBFS`;
  await audio();
  const bytes = await ask('signal', { kind, hz, dbfs, seconds: 30, rate: context.sampleRate });
  const samples = new Float32Array(bytes.buffer);
  const buffer = new AudioBuffer({ length: samples.length, sampleRate: context.sampleRate });
  buffer.copyToChannel(samples, 0);
  await keepStretch(buffer);
  await play(buffer, kind === 'tone' ? `tone ${hz} Hz, ${told(dbfs, 0)} dBFS,` : `${$('kind').selectedOptions[0].text}, ${told(dbfs, 0)} dBFS,`, { loop: false, hz: kind === 'tone' ? hz : null });
}

// A test signal starts only under a hand that stays for a second.
let holding;
function hold(event) {
  if (event.repeat || (event.key && event.key !== 'Enter' && event.key !== ' ')) return;
  event.preventDefault();
  clearTimeout(holding);
  $('start').classList.add('held');
  $('start').textContent = 'hold …';
  holding = setTimeout(by(async () => {
    letGo();
    await startTest();
  }), 1000);
}
function letGo() {
  clearTimeout(holding);
  $('start').classList.remove('held');
  $('start').textContent = 'hold to start';
}

// Blind: which of 1 and 2 is with the effect is thrown anew for every trial.
function throwCoin() {
  const [bit] = crypto.getRandomValues(new Uint8Array(1));
  blind.with = bit & 1 ? 'two' : 'one';
  hearNumber('one');
}
function hearNumber(number) {
  $('one').setAttribute('aria-pressed', number === 'one');
  $('two').setAttribute('aria-pressed', number === 'two');
  hearWay(number === blind.with ? 'with' : 'without');
}
function startBlind() {
  blind = { trials: 0, right: 0 };
  $('compare').hidden = true;
  $('trial').hidden = false;
  $('score').textContent = 'Listen to both as often as you like.';
  throwCoin();
}
function guess(number) {
  blind.trials += 1;
  blind.right += number === blind.with;
  $('score').textContent = `${blind.right} of ${blind.trials} right; by chance so many or more in ${told(100 * chance(blind.right, blind.trials), 1)} % of cases`;
  throwCoin();
}
// Share of so many heads or more in n throws of a coin.
function chance(right, n) {
  let term = 0.5 ** n, sum = 0;
  for (let k = 0; k <= n; k++) {
    if (k >= right) sum += term;
    term *= (n - k) / (k + 1);
  }
  return Math.min(1, sum);
}
function endBlind() {
  blind = null;
  $('compare').hidden = false;
  $('trial').hidden = true;
  hearWay('with');
}

// The settings: a slider, and a number that is typed with its unit.
const rows = [];
function buildSettings() {
  values = about.settings.map((setting) => setting.default);
  const groups = new Map();
  about.settings.forEach((setting, i) => {
    const group = groups.get(setting.group) ?? make('fieldset', {}, make('legend', {}, setting.group));
    groups.set(setting.group, group);
    group.append(settingRow(setting, i));
  });
  $('settings').append(...groups.values());
  const presets = about.presets.map((preset, i) => make('option', { value: String(i) }, preset.name));
  $('preset').append(make('option', { value: '' }, 'choose …'), ...presets);
}

function settingRow(setting, i) {
  const { kind } = setting, id = `set-${i}`;
  const row = make('div', { class: 'setting' }, make('label', { for: id, title: setting.about }, setting.name));
  const wrong = make('span', { class: 'wrong', role: 'alert', hidden: true });
  if (kind.words) {
    const select = make('select', { id }, ...kind.words.map((word, at) => make('option', { value: String(at) }, word)));
    select.addEventListener('change', () => setValue(i, +select.value));
    rows.push({ show: () => { select.value = String(values[i]); } });
    row.append(select);
    return row;
  }
  const slider = make('input', { type: 'range', min: '0', max: '1000', 'aria-label': `${setting.name}, slider` });
  const field = make('input', { id, title: setting.range });
  const place = (value) => (kind.ratio ? Math.log(value / kind.min) / Math.log(kind.max / kind.min) : (value - kind.min) / (kind.max - kind.min));
  const value = (share) => (kind.ratio ? kind.min * (kind.max / kind.min) ** share : kind.min + share * (kind.max - kind.min));
  slider.addEventListener('input', () => {
    const at = +slider.value / 1000;
    const off = at === 0 && kind.off !== null;
    setValue(i, off ? kind.off : Number(value(at).toPrecision(3)));
  });
  field.addEventListener('change', async () => {
    try {
      setValue(i, (await ask('typed', { key: setting.key, text: field.value })).value);
      wrong.hidden = true;
    } catch (why) {
      wrong.textContent = why.message;
      wrong.hidden = false;
    }
  });
  rows.push({
    show: (shown) => {
      slider.value = String(Math.round(1000 * Math.max(0, Math.min(1, place(values[i])))));
      slider.setAttribute('aria-valuetext', shown);
      if (document.activeElement !== field) field.value = shown;
    },
  });
  field.addEventListener('blur', showValues);
  row.append(slider, field, wrong);
  return row;
}

function setValue(i, value) {
  setValues(values.map((was, at) => (at === i ? value : was)));
}

function setValues(next) {
  values = next;
  louderDb = 0;
  $('louder').textContent = '';
  lineNode?.port.postMessage({ values });
  weigh();
  if (playing) watch();
  showValues();
}

async function showValues() {
  const { shown, wrong } = await ask('shown', { values });
  rows.forEach((row, i) => row.show(shown[i]));
  if (wrong) say(wrong, true);
  $('line-drawn').innerHTML = (await ask('line', { values, width: widthOf('line-drawn') })).svg;
}

drawn.push(showValues);

function takePreset(preset) {
  $('preset-name').value = preset.name;
  $('preset-when').textContent = [preset.when, ...preset.notices].join(' ');
  setValues(preset.values);
}

on('song', 'change', async () => $('song').files[0] && openSong($('song').files[0]));
on('play', 'click', () => (playing ? silence() : play(song.buffer, song.name, { loop: true })));
on('silence', 'click', silence);
on('volume', 'input', turnVolume);
on('with', 'click', () => hearWay('with'));
on('without', 'click', () => hearWay('without'));
on('match', 'click', matchLevels);
on('blind', 'click', startBlind);
on('one', 'click', () => hearNumber('one'));
on('two', 'click', () => hearNumber('two'));
on('guess-one', 'click', () => guess('one'));
on('guess-two', 'click', () => guess('two'));
on('end-blind', 'click', endBlind);
on('clip', 'click', () => { $('clip').hidden = true; });
for (const event of ['pointerdown', 'keydown']) $('start').addEventListener(event, hold);
for (const event of ['pointerup', 'pointerleave', 'keyup', 'blur']) $('start').addEventListener(event, letGo);
document.addEventListener('keydown', ({ key }) => key === 'Escape' && silence());
on('preset', 'change', () => $('preset').value && takePreset(about.presets[+$('preset').value]));
on('preset-file', 'change', async () => {
  const [file] = $('preset-file').files;
  if (file) takePreset(await ask('read preset', { text: await file.text() }));
});
on('preset-save', 'click', async () => {
  const name = $('preset-name').value.trim();
  if (!name) throw new Error('Give the preset a name first.');
  const { text: toml } = await ask('write preset', { name, when: $('preset-when').textContent, values });
  download(`${name.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-')}.toml`, toml, 'text/plain');
});
