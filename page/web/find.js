// Find out: the track, what comes back, what it says, and what answers it.
const files = new Map();
let result = null, ear = null;

const roles = ['the track', 'a capture', 'a loop-back', 'a plan', 'left out'];

function guessRole(name) {
  if (/\.toml$/i.test(name)) return 'a plan';
  const hasTrack = [...files.values()].some(({ role }) => role === 'the track');
  if (!hasTrack && /^track/i.test(name)) return 'the track';
  return /loop/i.test(name) ? 'a loop-back' : 'a capture';
}

async function addFile(name, bytes) {
  await keepFile(name, bytes);
  files.set(name, { role: guessRole(name), called: name.replace(/\.[^.]*$/, '') });
  showFiles();
}

function showFiles() {
  const body = $('files').tBodies[0];
  body.replaceChildren(...[...files].map(([name, file]) => {
    const role = make('select', { 'aria-label': `what ${name} is` }, ...roles.map((words) => make('option', {}, words)));
    role.value = file.role;
    role.addEventListener('change', () => { file.role = role.value; ready(); });
    const called = make('input', { 'aria-label': `what ${name} is called`, value: file.called });
    called.addEventListener('change', () => { file.called = called.value; });
    const keep = make('button', {}, 'keep');
    keep.addEventListener('click', by(async () => download(name, await ask('file', { name }), 'application/octet-stream')));
    return make('tr', {}, make('td', {}, name), make('td', {}, role), make('td', {}, called), make('td', {}, keep));
  }));
  $('files').hidden = files.size === 0;
  ready();
}

const withRole = (role) => [...files].filter(([, file]) => file.role === role).map(([name]) => name);

function ready() {
  const canRead = withRole('the track').length === 1 && withRole('a capture').length > 0;
  $('diagnose').disabled = $('tune').disabled = !canRead;
  $('hand-row').hidden = withRole('a plan').length === 0;
}

const measured = () => ({
  track: withRole('the track')[0],
  captures: withRole('a capture').map((file) => ({ file, name: files.get(file).called })),
  loop_back: withRole('a loop-back')[0] ?? '',
});

async function makeTrack() {
  say('The track is being made.');
  const form = $('form').value;
  const bytes = await ask('track', { form, rate: 48000 });
  const name = form === 'long' ? 'track-long.wav' : 'track.wav';
  download(name, bytes, 'audio/wav');
  await addFile(name, bytes.buffer.slice(0));
  say(`${name} is made and stands in the list: put it onto a stick as it is.`);
}

// Shows a sheet, and what can be kept of it.
function show(title, name, sheet, more = []) {
  result = sheet;
  const keep = (words, file, content, type) => {
    const button = make('button', {}, words);
    button.addEventListener('click', () => download(file, content, type));
    return button;
  };
  $('results').replaceChildren(
    keep('report (HTML)', `${name}.html`, sheet.html, 'text/html'),
    keep('figures (JSON)', `${name}.json`, `${JSON.stringify(sheet.json, null, 2)}\n`, 'application/json'),
    ...more.map((each) => (each instanceof Node ? each : keep(...each))),
  );
  $('results').hidden = false;
  $('report').innerHTML = sheet.body;
  say([title, ...sheet.heard].join(' '));
  $('report').scrollIntoView({ block: 'nearest' });
}

async function diagnose() {
  say('The captures are being read.');
  show('Diagnosed.', 'radio', await ask('diagnose', measured()));
}

async function tune() {
  say('Settings are being tried on the radio.');
  const tuned = await ask('tune', {
    ...measured(), target: $('target').value, down_to_hz: numberIn('down-to') ?? 31.5, ported_hz: numberIn('ported'),
  });
  await addFile('plan.toml', new TextEncoder().encode(tuned.plan).buffer);
  const take = make('button', { class: 'strong' }, 'hear these settings');
  take.addEventListener('click', by(() => {
    takePreset({ name: 'Tuned', when: 'made for a radio that was measured', notices: [], values: tuned.values });
    open('hear');
  }));
  show('Proposed.', 'tuning', tuned, [
    ['settings (TOML)', 'mine.toml', tuned.preset, 'text/plain'],
    ['plan (TOML)', 'plan.toml', tuned.plan, 'text/plain'],
    take,
  ]);
}

async function handOver() {
  const words = Object.fromEntries(['car', 'owner', 'by'].map((id) => [id, $(id).value]));
  show('Written down.', 'job', await ask('hand over', { plans: withRole('a plan'), ...words }));
}

// An input of this machine, without the processing that makes speech clear and measurements wrong.
const raw = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

async function lookForInputs() {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw new Error('This browser gives a page of this kind no input: record with any recorder, and drop the file here.');
  }
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: raw });
  } catch (why) {
    throw new Error(`The browser gives no input (${why.name}): record with any recorder, and drop the file here.`);
  }
  const inputs = (await navigator.mediaDevices.enumerateDevices()).filter(({ kind }) => kind === 'audioinput');
  stream.getTracks().forEach((track) => track.stop());
  $('input').replaceChildren(...inputs.map(({ deviceId, label }, i) => make('option', { value: deviceId }, label || `input ${i + 1}`)));
  $('input-label').hidden = $('listen').hidden = false;
  $('input-said').textContent = `${inputs.length} found`;
}

async function listen() {
  const constraints = { audio: { ...raw, channelCount: 2, deviceId: $('input').value ? { exact: $('input').value } : undefined } };
  const stream = await navigator.mediaDevices.getUserMedia(constraints);
  const context = new AudioContext();
  await context.audioWorklet.addModule(`data:text/javascript,${encodeURIComponent(text('worklet-text'))}`);
  const settings = stream.getAudioTracks()[0].getSettings();
  const node = new AudioWorkletNode(context, 'ear', { numberOfOutputs: 0 });
  new MediaStreamAudioSourceNode(context, { mediaStream: stream }).connect(node);
  ear = { stream, context, begun: null };
  node.port.onmessage = ({ data }) => {
    // The last of it may arrive after it was ended.
    if (!ear) return;
    ear.begun ??= ask('listen', { rate: context.sampleRate, channels: data.channels });
    hear(data.hear, data.channels, true);
  };
  const processed = Object.keys(raw).filter((key) => settings[key]);
  ear.note = processed.length > 0 ? `The system keeps processing on (${processed.join(', ')}): figures from it are not to be trusted. ` : '';
  ear.clock = setInterval(by(showHeard), 500);
  $('listen').hidden = true;
  $('end-listen').hidden = false;
  say('Listening. Play the track from its start to its end, at each volume step.');
}

async function showHeard() {
  if (!ear?.begun) return;
  const now = await ask('heard', { width: widthOf('heard-picture') });
  const peaks = now.peaks_dbfs.map((peak) => (peak > -120 ? `${told(peak)} dBFS` : 'silence')).join(' and ');
  const full = now.full_scale > 0 ? ` Driven to full scale ${now.full_scale} times: lower the gain and begin again.` : '';
  const end = now.is_full ? ' As much is kept as fits: end it.' : '';
  $('heard').textContent = `${ear.note}${Math.floor(now.seconds)} s, peak ${peaks}.${full}${end} ${now.told.join('; ')}`;
  $('heard-finding').innerHTML = now.finding ?? '';
  $('heard-picture').innerHTML = now.svg ?? '';
}

async function endListening() {
  const { stream, context, clock } = ear;
  clearInterval(clock);
  stream.getTracks().forEach((track) => track.stop());
  await context.close();
  const name = `heard-${[...files.keys()].filter((each) => each.startsWith('heard-')).length + 1}.wav`;
  ear = null;
  await ask('end listening', { name });
  files.set(name, { role: 'a capture', called: name.slice(0, -4) });
  showFiles();
  $('listen').hidden = false;
  $('end-listen').hidden = true;
  $('heard-picture').replaceChildren();
  say(`${name} stands in the list: keep it, and diagnose it.`);
}

async function addDropped(list) {
  for (const file of list) await addFile(file.name, await file.arrayBuffer());
  say(`${list.length === 1 ? `${list[0].name} stands` : `${list.length} files stand`} in the list.`);
}

on('track', 'click', makeTrack);
on('captures', 'change', () => addDropped([...$('captures').files]));
on('inputs', 'click', lookForInputs);
on('listen', 'click', listen);
on('end-listen', 'click', endListening);
on('diagnose', 'click', diagnose);
on('tune', 'click', tune);
on('hand-over', 'click', handOver);
document.addEventListener('dragover', (event) => event.preventDefault());
document.addEventListener('drop', by(async (event) => {
  event.preventDefault();
  const dropped = [...event.dataTransfer.files];
  if (dropped.length === 0) return;
  if (!$('hear').hidden) await openSong(dropped[0]);
  else {
    open('find');
    await addDropped(dropped);
  }
}));
