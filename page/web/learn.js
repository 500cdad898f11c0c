// Learn: each lesson asks before it shows, then its figures and pictures follow a slider.
let at = 0;

function showCourse() {
  const { lessons } = about;
  const minutes = lessons.reduce((sum, lesson) => sum + lesson.minutes, 0);
  const row = (lesson, i) => {
    const begin = make('button', {}, `${i + 1} · ${lesson.title}`);
    begin.addEventListener('click', by(() => openLesson(i)));
    return make('tr', {}, make('td', {}, begin), make('td', { class: 'n' }, `${lesson.minutes} min`), make('td', {}, lesson.question));
  };
  const head = make('tr', {}, ...['lesson', 'takes', 'asks'].map((words) => make('th', { scope: 'col' }, words)));
  $('course').replaceChildren(
    make('p', {}, `${lessons.length} lessons, ${minutes} minutes in all. To a class: ask first, let them bet, then show.`),
    make('div', { class: 'scroll', tabindex: '0' }, make('table', { class: 'course' }, make('thead', {}, head), make('tbody', {}, ...lessons.map(row)))),
  );
  $('course').hidden = false;
  $('lesson').hidden = true;
}

function openLesson(i) {
  at = i;
  const lesson = about.lessons[i];
  const back = make('button', {}, 'all lessons');
  back.addEventListener('click', showCourse);
  const choices = lesson.choices.map((words, choice) => {
    const button = make('button', {}, `${'abc'[choice]} · ${words}`);
    button.addEventListener('click', by(() => showAnswer(choice)));
    return button;
  });
  $('lesson').replaceChildren(
    make('div', { class: 'row' }, back, make('span', { class: 'quiet' }, `lesson ${i + 1} of ${about.lessons.length}, ${lesson.minutes} min`)),
    make('h1', { tabindex: '-1' }, lesson.question),
    make('div', { class: 'choices', role: 'group', 'aria-label': 'answers' }, ...choices),
    make('div', { class: 'answer', id: 'answer' }),
  );
  $('course').hidden = true;
  $('lesson').hidden = false;
  $('lesson').querySelector('h1').focus();
  say(lesson.title);
}

// Two pictures stand side by side where there is room.
function question(value) {
  const whole = widthOf('lesson');
  const width = whole > 1000 ? Math.floor((whole - 24) / 2) : whole;
  return { number: at + 1, value, width, height: width > 500 ? 260 : 220 };
}

async function showAnswer(chosen) {
  const lesson = about.lessons[at], { turn } = lesson;
  say('It is being played and measured.');
  const shown = await ask('lesson', question(null));
  [...$('lesson').querySelectorAll('.choices button')].forEach((button, choice) => {
    button.classList.toggle('right', choice === shown.right);
    button.classList.toggle('missed', choice === chosen && choice !== shown.right);
  });
  const slider = make('input', { type: 'range', id: 'turn', min: String(turn.from), max: String(turn.to), step: String(turn.step), value: String(turn.start) });
  const value = make('output', { for: 'turn', id: 'turned' });
  const plays = ['goes in', 'comes out'].map((words, i) => {
    const button = make('button', {}, `hear what ${words}`);
    button.addEventListener('click', by(() => hearLesson(i === 1)));
    return button;
  });
  const next = make('button', {}, at + 1 < about.lessons.length ? 'next lesson' : 'all lessons');
  next.addEventListener('click', () => (at + 1 < about.lessons.length ? openLesson(at + 1) : showCourse()));
  const words = [['how sure', shown.sure], ['where it fails', shown.fails], ['try it on your own gear', shown.try], ['where to look', lesson.look]];
  $('answer').replaceChildren(
    make('p', { class: 'told' }, shown.told),
    make('div', { class: 'scroll', tabindex: '0' }, make('table', { id: 'measured' })),
    make('div', { class: 'pictures', id: 'pictures' }),
    make('div', { class: 'turn' }, make('label', { for: 'turn' }, turn.name), slider, value),
    make('div', { class: 'row' }, ...plays, make('span', { class: 'quiet' }, 'at the volume of the page; Esc is silence')),
    make('dl', {}, ...words.flatMap(([name, told]) => [make('dt', {}, name), make('dd', {}, told)])),
    make('div', { class: 'row' }, next),
  );
  slider.addEventListener('input', by(turned));
  fill(shown);
  say(chosen === shown.right ? 'Right.' : 'Not so; see what was measured.');
}

function fill(shown) {
  const row = (figure) => make('tr', { 'data-key': figure.key, 'data-value': String(figure.value) },
    make('td', {}, figure.name), make('td', { class: 'n' }, figure.shown), make('td', {}, figure.unit));
  const head = make('tr', {}, ...['measured just now', 'figure', 'unit'].map((words) => make('th', { scope: 'col' }, words)));
  $('measured').replaceChildren(make('thead', {}, head), make('tbody', {}, ...shown.figures.map(row)));
  $('pictures').replaceChildren(...shown.pictures.map(({ title, svg }) => {
    const picture = make('div', {}, make('h2', {}, title));
    picture.append(document.createRange().createContextualFragment(svg));
    return picture;
  }));
  const { unit } = about.lessons[at].turn;
  $('turned').textContent = `${told(+$('turn').value, 2).replace(/\.?0+$/, '')} ${unit}`;
}

// One turn is played at a time; the last one that was asked for comes next.
let isTurning = false, wanted = null;
async function turned() {
  wanted = +$('turn').value;
  if (isTurning) return;
  isTurning = true;
  try {
    while (wanted !== null) {
      const value = wanted;
      wanted = null;
      fill(await ask('lesson', question(value)));
    }
  } finally {
    isTurning = false;
  }
}

// The first setup of the lesson, before the line or behind it; the page's own line lets it pass.
async function hearLesson(line) {
  await audio();
  const bytes = await ask('lesson sound', { number: at + 1, value: +$('turn').value, line });
  const samples = new Float32Array(bytes.buffer).subarray(0, 8 * 48000);
  const buffer = new AudioBuffer({ length: samples.length, sampleRate: 48000 });
  buffer.copyToChannel(samples, 0);
  stop();
  const way = heardWay;
  hearWay('without');
  const name = `lesson ${at + 1}, ${line ? 'what comes out' : 'what goes in'},`;
  await play(buffer, name, { loop: false, after: () => hearWay(way) });
}

drawn.push(() => $('turn') && turned());
opened.learn = () => $('lesson').hidden && showCourse();
