// Everything but the audio thread: asks the engine, one thing after another.
let engine;
const words = new TextEncoder(), letters = new TextDecoder();

function room(bytes) {
  const at = engine.room(bytes.byteLength);
  new Uint8Array(engine.memory.buffer, at, bytes.byteLength).set(new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength));
}

function ask(asked) {
  room(words.encode(JSON.stringify(asked)));
  const length = engine.ask();
  return new Uint8Array(engine.memory.buffer, engine.answer(), length).slice();
}

function keep(name, bytes) {
  const named = words.encode(name), both = new Uint8Array(named.length + bytes.byteLength);
  both.set(named);
  both.set(new Uint8Array(bytes), named.length);
  room(both);
  engine.keep(named.length);
}

onmessage = async ({ data }) => {
  const { id } = data;
  try {
    if (data.module) engine = (await WebAssembly.instantiate(data.module)).exports;
    else if (data.keep) keep(data.keep, data.bytes);
    else if (data.hear) {
      room(data.hear);
      return data.isInput ? engine.listen(data.channels) : engine.watch(data.channels);
    }
    else {
      const answer = ask(data.ask);
      if (!engine.is_json()) return postMessage({ id, bytes: answer }, [answer.buffer]);
      return postMessage({ id, answer: JSON.parse(letters.decode(answer)) });
    }
    postMessage({ id, answer: {} });
  } catch (fault) {
    postMessage({ id, answer: { error: `a fault of this page: ${fault.message}; load it again` } });
  }
};
