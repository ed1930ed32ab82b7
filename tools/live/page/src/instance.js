// An instance of the solver in a page or a worker, and its answers.

// Rejects where the browser cannot make one, for want of memory or of what WebAssembly needs.
export function instanceOf(module) {
  return new Promise((resolve, reject) => {
    globalThis
      .pulsewright({
        instantiateWasm(imports, done) {
          WebAssembly.instantiate(module, imports).then((instance) => done(instance, module), reject);
          return {};
        },
      })
      .then(resolve, reject);
  });
}

// The answer to a call, which has `error` where the solver cannot answer. Throws where the instance is
// broken: what it says after that means nothing.
export function answerOf(instance, call, request = {}) {
  const answer = JSON.parse(instance.ccall('answer', 'string', ['string'], [JSON.stringify({ call, ...request })]));
  if (typeof answer.error === 'string' && /bad_alloc/.test(answer.error)) throw new Error('out of memory');
  return answer;
}
