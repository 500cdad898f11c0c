"""Drives the page in headless Chromium, from a file and without a network, and holds what it plays,
measures and says against the program.

usage: page.py PAGE.html PATH_TO_UNDERPIN RECORDING.flac FOLDER_FOR_PICTURES [SECONDS_OF_PLAYING]

Chromium and its driver are Debian's, the client is selenium, accessibility is held by axe-core, and
no figure here comes from the page alone. Exits 1 on the first difference.
"""

import base64
import hashlib
import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import axe_playwright_python
import numpy
import sound
from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By

PRESETS_S = 6
RATES_HZ = [48_000, 44_100]
# Figures pass through transforms whose last bits differ between mathematical libraries.
RELATIVE, ABSOLUTE = 1e-6, 1e-6


def chromium(input_=None):
    """A browser; its microphone is a file, or an invented beep."""
    options = webdriver.ChromeOptions()
    if input_:
        options.add_argument(f"--use-file-for-fake-audio-capture={input_}%noloop")
    for option in [
        "--headless=new", "--no-sandbox", "--autoplay-policy=no-user-gesture-required",
        "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
    ]:
        options.add_argument(option)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    driver.set_script_timeout(300)
    return driver


class Page:
    def __init__(self, path, input_=None):
        self.path = Path(path).resolve()
        self.driver = chromium(input_)
        self.requests = []
        self.open()

    def open(self):
        self.driver.get(self.path.as_uri())
        self.until("return document.documentElement.dataset.ready === 'yes'", 60)

    def comes(self, script, seconds):
        """Whether it becomes true in time."""
        end = time.time() + seconds
        while not self.driver.execute_script(script):
            if time.time() > end:
                return False
            time.sleep(0.1)
        return True

    def until(self, script, seconds):
        assert self.comes(script, seconds), f"waited {seconds} s for: {script}; {self.said()}"

    def said(self):
        return self.driver.find_element(By.ID, "said").text

    def click(self, id_):
        self.driver.execute_script("document.getElementById(arguments[0]).click()", id_)

    def ask(self, what, **more):
        """What the page's engine answers."""
        script = "const [what, more, done] = arguments; ask(what, more).then(done, (e) => done({error: e.message}))"
        answer = self.driver.execute_async_script(script, what, more)
        assert "error" not in answer, answer
        return answer

    def heed(self):
        """Everything that was logged: no fault, and no request to anywhere."""
        for entry in self.driver.get_log("browser"):
            assert entry["level"] not in ("SEVERE",), entry["message"]
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                url = message["params"]["request"]["url"]
                if not url.startswith(("data:", "blob:")) and url != self.path.as_uri():
                    self.requests.append(url)
        assert not self.requests, f"the page asked for {self.requests}"


RENDER = """
const [samples, rate, values, done] = arguments;
(async () => {
  const bytes = Uint8Array.from(atob(samples), (c) => c.charCodeAt(0));
  const both = new Float32Array(bytes.buffer), frames = both.length / 2;
  const offline = new OfflineAudioContext(2, frames, rate);
  await offline.audioWorklet.addModule(`data:text/javascript,${encodeURIComponent(text('worklet-text'))}`);
  const buffer = new AudioBuffer({ length: frames, sampleRate: rate, numberOfChannels: 2 });
  for (const side of [0, 1]) buffer.copyToChannel(both.subarray(side * frames, (side + 1) * frames), side);
  const node = new AudioWorkletNode(offline, 'line', { outputChannelCount: [2], processorOptions: { module: engine, values } });
  const source = new AudioBufferSourceNode(offline, { buffer });
  source.connect(node).connect(offline.destination);
  source.start();
  const out = await offline.startRendering();
  const made = new Float32Array(2 * frames);
  for (const side of [0, 1]) made.set(out.getChannelData(side), side * frames);
  // The sign of a zero is lost where ways are added.
  for (let i = 0; i < made.length; i++) if (made[i] === 0) made[i] = 0;
  const hash = await crypto.subtle.digest('SHA-256', made.buffer);
  done([...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, '0')).join(''));
})().catch((why) => done(`fault: ${why.message}`));
"""


def run(program, *words, folder):
    subprocess.run([program, *words, "--quiet"], cwd=folder, check=True)


def sounds(program, recording, rate, folder):
    """Noise, a kick and a tone of the program's, and a recording, as stereo floats at a rate."""
    seconds = str(PRESETS_S)
    made = {"noise": ["pink"], "kick": ["kick", "--every", "0.5"], "tones": ["tones", "--hz", "41", "--hz", "58"]}
    for name, words in made.items():
        run(program, "signal", *words, "--seconds", seconds, "--rate", str(rate),
            "-o", f"{name}.wav", "--force", folder=folder)
        yield name
    # The recording's own samples, at whatever rate the line runs.
    run(program, "render", str(recording), "own.wav", "--preset", "untouched", "--force", folder=folder)
    own = sound.read(folder / "own.wav")
    own = numpy.stack([own[0], own[-1]])[:, : PRESETS_S * rate]
    sound.RATE_HZ = rate
    sound.write(folder / "recording.wav", own)
    yield "recording"


def bit_for_bit(page, program, recording):
    presets = page.driver.execute_script("return about.presets")
    compared = 0
    for rate in RATES_HZ:
        with tempfile.TemporaryDirectory() as folder:
            folder = Path(folder)
            for name in sounds(program, recording, rate, folder):
                given = sound.read(folder / f"{name}.wav")
                given = numpy.stack([given[0], given[-1]]).astype("<f4")
                sound.RATE_HZ = rate
                sound.write(folder / "in.wav", given)
                packed = base64.b64encode(given.tobytes()).decode()
                for preset in presets:
                    run(program, "render", "in.wav", "out.wav", "--preset", preset["slug"], "--force", folder=folder)
                    native = sound.read(folder / "out.wav") + numpy.float32(0.0)
                    wanted = hashlib.sha256(numpy.ascontiguousarray(native, "<f4").tobytes()).hexdigest()
                    got = page.driver.execute_async_script(RENDER, packed, rate, preset["values"])
                    assert got == wanted, f"{preset['slug']} at {rate} Hz on {name}: {got} is not {wanted}"
                    compared += native.size
    print(f"  {len(presets)} presets, {RATES_HZ} Hz, noise, kick, tones, recording: {compared} samples are the program's, bit for bit")


def near(a, b):
    return math.isclose(a, b, rel_tol=RELATIVE, abs_tol=ABSOLUTE)


def same(got, wanted, where=""):
    """Two JSON values: words equal, numbers equal to the digits that last bits leave alone."""
    if isinstance(wanted, dict):
        assert got.keys() == wanted.keys(), f"{where}: {got.keys() ^ wanted.keys()}"
        return sum(same(got[key], wanted[key], f"{where}.{key}") for key in wanted)
    if isinstance(wanted, list):
        assert len(got) == len(wanted), f"{where}: {len(got)} is not {len(wanted)}"
        return sum(same(g, w, f"{where}[{i}]") for i, (g, w) in enumerate(zip(got, wanted)))
    if isinstance(wanted, float) or (isinstance(wanted, int) and not isinstance(wanted, bool)):
        assert isinstance(got, (int, float)) and near(got, wanted), f"{where}: {got!r} is not {wanted!r}"
        return 1
    assert got == wanted, f"{where}: {got!r} is not {wanted!r}"
    return 1


def told(program, *words, folder=None):
    done = subprocess.run([program, *words, "--json"], check=True, capture_output=True, text=True, cwd=folder)
    return json.loads(done.stdout)


def lessons(page, program):
    """Every figure that a lesson shows, at both ends of its slider and where it starts."""
    held = 0
    page.click("tab-learn")
    for number, lesson in enumerate(page.driver.execute_script("return about.lessons"), 1):
        page.driver.execute_script("openLesson(arguments[0] - 1)", number)
        page.driver.execute_async_script("const [done] = arguments; showAnswer(0).then(done)")
        turn = lesson["turn"]
        for value in (turn["from"], turn["start"], turn["to"]):
            page.driver.execute_async_script(
                "const [value, done] = arguments; document.getElementById('turn').value = value; turned().then(done)",
                value,
            )
            shown = page.driver.execute_script(
                "return [...document.querySelectorAll('#measured tbody tr')]"
                ".map((row) => [row.dataset.key, row.dataset.value])"
            )
            figures = told(program, "lesson", str(number), f"--turn={value}")["figures"]
            assert len(shown) == len(figures) > 0, (number, shown, figures)
            for key, figure in shown:
                wanted = figures[key]
                right = figure == "null" if wanted is None else near(float(figure), wanted)
                assert right, f"lesson {number}, {key} at {value}: {figure} is not {wanted}"
                held += 1
        pictures = page.driver.execute_script("return document.querySelectorAll('#pictures svg path').length")
        assert pictures > 3, f"lesson {number} draws nothing"
        if number == 1:
            measured(page, program)
    print(f"  lessons: {held} figures shown are the program's")


def measured(page, program):
    """The first lesson's figures once more, by other commands on files."""
    value = page.driver.execute_script("return +document.getElementById('turn').value")
    with tempfile.TemporaryDirectory() as folder:
        run(program, "signal", "tone", "--hz", "60", "--level", "-12", "--seconds", "5", "-o", "in.wav", folder=folder)
        run(program, "render", "in.wav", "out.wav", "--set", f"octave.level_db={value}", folder=folder)
        run_ = told(program, "measure", "out.wav", "--tone", "60", folder=folder)["runs"][0]
        half = next(line for line in run_["before"]["partials"]["below"] if line["order"] == 0.5)
    for key, wanted in (("half_hz", half["hz"]), ("half_re_tone_db", half["re_tone_db"])):
        shown = page.driver.execute_script(f"return document.querySelector('[data-key={key}]').dataset.value")
        assert abs(float(shown) - wanted) < 0.02, f"{key}: {shown} is not {wanted} of measure"


def found(page, program):
    """Captures of an invented radio, dropped in: diagnosis, settings and plan are the program's."""
    with tempfile.TemporaryDirectory() as folder:
        run(program, "signal", "track", "-o", "track.wav", folder=folder)
        for step, (corner, gain) in enumerate([(30, -18), (40, -12), (50, -6), (60, 0)], 1):
            run(program, "render", "track.wav", f"step-{step}.wav", "--set", "octave.level_db=off", "--set",
                "high_pass.order=4", "--set", f"high_pass.hz={corner}", "--set", f"output.gain_db={gain}", folder=folder)
        names = ["track.wav", *(f"step-{step}.wav" for step in range(1, 5))]
        page.click("tab-find")
        page.click("track")
        page.until("return files.has('track.wav')", 60)
        own = page.driver.execute_async_script(
            "const [done] = arguments; ask('file', { name: 'track.wav' })"
            ".then((bytes) => crypto.subtle.digest('SHA-256', bytes))"
            ".then((hash) => done([...new Uint8Array(hash)].map((b) => b.toString(16).padStart(2, '0')).join('')))"
        )
        assert own == hashlib.sha256((Path(folder) / "track.wav").read_bytes()).hexdigest(), "another track"
        chosen = page.driver.find_element(By.ID, "captures")
        chosen.send_keys("\n".join(str(Path(folder) / name) for name in names[1:]))
        page.until("return files.size === 5", 60)
        held = 0
        for verb, words in (("diagnose", []), ("tune", ["--plan", "plan.toml", "--preset", "mine.toml"])):
            page.driver.execute_script("result = null")
            page.click(verb)
            page.until("return result !== null", 120)
            got = page.driver.execute_script("return result.json")
            wanted = told(program, verb, *names, *words, folder=folder)
            # What to do next is a command there and a button here.
            wanted.pop("next"), got.pop("next")
            held += same(got, wanted, verb)
        mine = (Path(folder) / "mine.toml").read_text()
        assert page.driver.execute_script("return result.preset") == mine, "other settings"
        page.until("return files.has('plan.toml')", 10)
        page.click("hand-over")
        page.until("return result.json.subject === 'hand-over'", 60)
    print(f"  track to the byte; diagnosis, settings, plan: {held} values are the program's; handed over")


def listened(page):
    """The browser's invented input is heard, kept as a file, and no track is found in it."""
    page.click("inputs")
    page.until("return !document.getElementById('listen').hidden", 30)
    page.click("listen")
    page.until("return /\\d s, peak/.test(document.getElementById('heard').textContent)", 30)
    time.sleep(2)
    page.click("end-listen")
    page.until("return files.has('heard-1.wav')", 30)
    print(f"  an input: {page.driver.find_element(By.ID, 'heard').text}")


def cabled(path, program):
    """A radio on a cable: the track arrives at the browser's input, is recognised as it comes, and what
    is found then is what the kept recording says as a file. Says whether a whole take came: on a busy
    machine the browser's invented input may have gaps, and a take with a gap is refused."""
    with tempfile.TemporaryDirectory() as folder:
        run(program, "signal", "track", "-o", "track.wav", folder=folder)
        run(program, "render", "track.wav", "radio.wav", "--set", "octave.level_db=off", "--set",
            "high_pass.order=4", "--set", "high_pass.hz=45", "--set", "output.gain_db=-8", "--format", "16",
            folder=folder)
        page = Page(path, input_=Path(folder) / "radio.wav")
        try:
            page.click("tab-find")
            page.click("track")
            page.until("return files.has('track.wav')", 60)
            page.click("inputs")
            page.until("return !document.getElementById('listen').hidden", 30)
            page.click("listen")
            page.until("return document.querySelectorAll('#heard-picture path').length > 3", 60)
            if not page.comes("return /take 1 is complete/.test(document.getElementById('heard').textContent)", 100):
                print(f"  on a cable: {page.driver.find_element(By.ID, 'heard').text}")
                return False
            page.until("return document.getElementById('heard-finding').textContent !== ''", 60)
            live = page.driver.execute_script("return document.getElementById('heard-finding').textContent")
            if live.startswith("Every take is damaged"):
                print(f"  on a cable: {live}")
                return False
            page.click("end-listen")
            page.until("return files.has('heard-1.wav')", 30)
            page.click("diagnose")
            page.until("return result !== null", 120)
            kept = page.driver.execute_script("return result.json.finding")
            assert live == kept, (live, kept)
            page.heed()
        finally:
            page.driver.quit()
    print(f"  on a cable: {live}")
    return True


def compared(page):
    """Equally loud and blind: 6 dB of output gain is 6 dB of loudness; ten right of ten are chance in
    1 of 1024."""
    page.driver.execute_async_script(
        """const [done] = arguments;
        (async () => {
          const bytes = await ask('signal', { kind: 'pink', dbfs: -30, seconds: 10, rate: context.sampleRate });
          const samples = new Float32Array(bytes.buffer);
          const buffer = new AudioBuffer({ length: samples.length, sampleRate: context.sampleRate });
          buffer.copyToChannel(samples, 0);
          await keepStretch(buffer);
          const named = (key) => about.settings.findIndex((setting) => setting.key === key);
          const plain = about.settings.map((setting) => setting.default);
          plain[named('octave.level_db')] = -60;
          plain[named('output.gain_db')] = 6;
          setValues(plain);
          await matchLevels();
          startBlind();
          for (let trial = 0; trial < 10; trial++) guess(blind.with);
          done();
        })();"""
    )
    louder, score = page.driver.execute_script(
        "return [louderDb, document.getElementById('score').textContent]")
    assert abs(louder - 6) < 0.01, louder
    assert "10 of 10" in score and "0.1 %" in score, score
    page.driver.execute_script("endBlind(); setValues(about.settings.map((setting) => setting.default))")
    print(f"  compared: {louder:.3f} dB louder is matched; {score}")


def exported(page):
    """The view as drawing, picture and figures."""
    page.click("tab-see")
    page.until("return seen !== null && !document.getElementById('save-png').disabled", 30)
    kept = page.driver.execute_async_script(
        """const [done] = arguments;
        const kept = {};
        download = async (name, content) => {
          const bytes = new Uint8Array(await new Blob([content]).arrayBuffer());
          kept[name] = [bytes.length, String.fromCharCode(...bytes.subarray(0, 12))];
          if (Object.keys(kept).length === 3) done(kept);
        };
        for (const id of ['save-svg', 'save-png', 'save-csv']) document.getElementById(id).click();"""
    )
    assert kept["spectrum.svg"][1].startswith("<svg") and kept["spectrum.png"][1][1:4] == "PNG", kept
    assert min(size for size, _ in kept.values()) > 500, kept
    print(f"  kept: {', '.join(f'{name} of {size} bytes' for name, (size, _) in sorted(kept.items()))}")


SPEED = """
const [done] = arguments;
(async () => {
  const { exports } = await WebAssembly.instantiate(engine);
  const at = exports.line(48000), block = new Float32Array(256);
  let seed = 7;
  const took = [];
  const begun = performance.now();
  for (let call = 0; call < 60 * 375; call++) {
    for (let n = 0; n < 256; n++) block[n] = 0.25 * (((seed = (seed * 48271) % 2147483647) / 1073741824) - 1);
    new Float32Array(exports.memory.buffer, at, 256).set(block);
    const before = performance.now();
    exports.run(128);
    took.push(performance.now() - before);
  }
  const all = took.reduce((a, b) => a + b, 0);
  took.sort((a, b) => a - b);
  done({ times: 60000 / all, median: took[took.length >> 1], most: took[Math.floor(0.999 * took.length)], whole: performance.now() - begun });
})();
"""


def speed(page):
    took = page.driver.execute_async_script(SPEED)
    print(
        f"  {took['times']:.0f} times as fast as it plays; 128 frames take {took['median']:.2f} ms in the median, "
        f"{took['most']:.2f} ms at 99.9 % (the browser's clock has steps of 0.1 ms), of 2.67 ms"
    )
    assert took["times"] >= 50, "slower than 50 times"


def begin_playing(page):
    """Noise through the line, in a loop, on the audio thread."""
    page.driver.execute_async_script(
        """const [done] = arguments;
        (async () => {
          await audio();
          const bytes = await ask('signal', { kind: 'pink', dbfs: -30, seconds: 20, rate: context.sampleRate });
          const samples = new Float32Array(bytes.buffer);
          const buffer = new AudioBuffer({ length: samples.length, sampleRate: context.sampleRate });
          buffer.copyToChannel(samples, 0);
          await play(buffer, 'noise', { loop: true });
          window.counted = null;
          lineNode.port.onmessage = ((was) => (event) => { was(event); if (event.data.calls) counted = event.data; })(lineNode.port.onmessage);
          lineNode.port.postMessage({ calls: true });
          while (counted === null) await new Promise((next) => setTimeout(next, 5));
          window.begun = [performance.now(), context.currentTime, counted.calls];
          counted = null;
          done();
        })();"""
    )


def kept_pace(page, seconds):
    """The audio thread keeps pace: as much is rendered as time passes, block after block."""
    begin_playing(page)
    page.until(f"return performance.now() - begun[0] >= {1000 * seconds}", seconds + 60)
    page.driver.execute_script("lineNode.port.postMessage({ calls: true })")
    page.until("return window.counted !== null", 10)
    counted, passed, heard, rate = page.driver.execute_script(
        "return [counted, (performance.now() - begun[0]) / 1000, context.currentTime - begun[1], context.sampleRate]"
    )
    page.click("silence")
    rendered = 128 * (counted["calls"] - page.driver.execute_script("return begun[2]")) / rate
    print(f"  played {passed:.0f} s: {heard:.1f} s went by on the audio clock, {rendered:.1f} s were rendered")
    # What the clock shows and what was counted are asked a moment apart.
    assert abs(rendered - heard) < 0.5, "blocks are missing"
    return abs(heard - passed) < 0.1 + 0.001 * passed


def seen(page, folder):
    """Every part at three widths, by day and by night: nothing wider than the page, nothing that axe
    objects to."""
    axe = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text()
    folder.mkdir(parents=True, exist_ok=True)
    faults = 0
    for width in (360, 960, 1920):
        page.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": 900 if width > 400 else 740, "deviceScaleFactor": 1, "mobile": False})
        for colours in ("day", "night"):
            page.driver.execute_script(
                "const c = document.getElementById('colours'); c.value = arguments[0];"
                "c.dispatchEvent(new Event('change'))", colours)
            for part in ("hear", "see", "find", "learn"):
                page.click(f"tab-{part}")
                time.sleep(0.7)
                # Everything that can be used is there, however narrow the page.
                gone = page.driver.execute_script(
                    "return [...document.getElementById(arguments[0]).querySelectorAll('button, input, select')]"
                    ".filter((e) => !e.closest('[hidden]') && e.getClientRects().length === 0).map((e) => e.id)", part)
                assert not gone, f"{part} at {width} px lacks {gone}"
                over = page.driver.execute_script("return document.documentElement.scrollWidth - innerWidth")
                assert over <= 0, f"{part} is {over} px wider than {width}"
                page.driver.save_screenshot(str(folder / f"{part}-{width}-{colours}.png"))
                page.driver.execute_script(axe)
                objections = page.driver.execute_async_script(
                    "const [done] = arguments; axe.run(document).then((found) => done(found.violations"
                    ".map((v) => [v.id, v.help, v.nodes.slice(0, 3).map((n) => n.html)])))")
                for objection in objections:
                    faults += 1
                    print(f"  {part}, {width} px, {colours}: {objection}")
    page.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert faults == 0, f"axe objects {faults} times"
    print("  four parts at 360, 960 and 1920 px, day and night: nothing sticks out, axe-core objects to nothing")


def main():
    path, program, recording, folder, *more = sys.argv[1:]
    seconds = float(more[0]) if more else 300
    page = Page(path)
    program = str(Path(program).resolve())
    try:
        begun = time.time()
        begin_playing(page)
        lessons(page, program)
        found(page, program)
        listened(page)
        compared(page)
        seen(page, Path(folder))
        exported(page)
        page.click("silence")
        bit_for_bit(page, program, Path(recording).resolve())
        speed(page)
        if not kept_pace(page, seconds):
            print("  the audio clock fell behind once: something else took the machine; played again")
            assert kept_pace(page, seconds), "the audio clock fell behind twice"
        page.heed()
        print(f"  {time.time() - begun:.0f} s in the page: it asked the network for nothing")
    finally:
        page.driver.quit()
    assert any(cabled(path, program) for _ in range(3)), "no take came whole in three tries"


main()
