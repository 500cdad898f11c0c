// Begins.
by(async () => {
  if (typeof WebAssembly !== 'object' || typeof DecompressionStream !== 'function') {
    throw new Error('This browser is too old for this page: it needs WebAssembly and unpacking of streams.');
  }
  await begin();
  dress();
  buildSettings();
  await showValues();
  document.documentElement.dataset.ready = 'yes';
  say('Ready. Nothing sounds until you start it.');
})();
