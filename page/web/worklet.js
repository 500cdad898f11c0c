// The audio thread: the line on what plays, with and without it, faded from one to the other.
const TOGETHER = 2048;

class Line extends AudioWorkletProcessor {
  constructor({ processorOptions: { module, values } }) {
    super();
    this.engine = new WebAssembly.Instance(module).exports;
    this.at = this.engine.line(sampleRate);
    this.put(values);
    // With the line, and what each way is turned down by; both follow within 10 ms.
    this.wanted = [0, 1];
    this.gains = [0, 1];
    this.follow = 1 - Math.exp(-1 / (0.01 * sampleRate));
    this.waiting = new Float32Array(2 * TOGETHER);
    this.filled = 0;
    this.calls = 0;
    this.port.onmessage = ({ data }) => {
      if (data.values) this.put(data.values);
      if (data.gains) this.wanted = data.gains;
      if (data.calls) this.port.postMessage({ calls: this.calls, frame: currentFrame });
    };
  }

  put(values) {
    values.forEach((value, i) => this.engine.put(i, value));
  }

  process([input], [output]) {
    const frames = output[0].length;
    const samples = new Float32Array(this.engine.memory.buffer, this.at, 256);
    const given = [input[0] ?? this.silence(frames), input[1] ?? input[0] ?? this.silence(frames)];
    samples.set(given[0], 0);
    samples.set(given[1], 128);
    this.listen(given, frames);
    this.engine.run(frames);
    let loudest = 0;
    for (let n = 0; n < frames; n++) {
      for (const way of [0, 1]) this.gains[way] += this.follow * (this.wanted[way] - this.gains[way]);
      for (const side of [0, 1]) {
        const sample = this.gains[0] * given[side][n] + this.gains[1] * samples[128 * side + n];
        if (output[side]) output[side][n] = sample;
        loudest = Math.max(loudest, Math.abs(sample));
      }
    }
    if (loudest > 1) this.port.postMessage({ over: loudest });
    this.calls += 1;
    return true;
  }

  silence(frames) {
    this.zeros ??= new Float32Array(frames);
    return this.zeros;
  }

  // Hands on what arrives, a few hundredths of a second at a time.
  listen(given, frames) {
    for (const side of [0, 1]) this.waiting.set(given[side], side * TOGETHER + this.filled);
    this.filled += frames;
    if (this.filled >= TOGETHER) {
      const hear = this.waiting;
      this.port.postMessage({ hear }, [hear.buffer]);
      this.waiting = new Float32Array(2 * TOGETHER);
      this.filled = 0;
    }
  }
}

// An input that is measured: it only hands on.
class Ear extends AudioWorkletProcessor {
  constructor() {
    super();
    this.filled = 0;
  }

  process([input]) {
    const channels = input.length;
    if (channels === 0) return true;
    if (this.channels !== channels) {
      this.channels = channels;
      this.waiting = new Float32Array(channels * TOGETHER);
      this.filled = 0;
    }
    input.forEach((samples, side) => this.waiting.set(samples, side * TOGETHER + this.filled));
    this.filled += input[0].length;
    if (this.filled >= TOGETHER) {
      const hear = this.waiting;
      this.port.postMessage({ hear, channels }, [hear.buffer]);
      this.waiting = new Float32Array(channels * TOGETHER);
      this.filled = 0;
    }
    return true;
  }
}

registerProcessor('line', Line);
registerProcessor('ear', Ear);
