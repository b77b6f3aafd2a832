// What the phone says, by code, in the reader's language: the page brings the words, as the server says them too.

const sent = globalThis.document?.getElementById("words");
let words = sent ? JSON.parse(sent.textContent) : {};
export function takeWords(table) { words = table; }

// The sentence of a code with its values; a code without words is shown as it is, so that nothing is held back.
export function say(code, values = {}) {
  if (!(code in words)) return [code, ...Object.values(values)].join(" ");
  return words[code].replace(/%%|%\((\w+)\)s/g, (found, name) => (name ? values[name] : "%"));
}
