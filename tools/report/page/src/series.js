// Reads what tools/report/packed_series.cpp wrote: base64, zlib, seven bits to a byte, zigzag
// differences of whole multiples of a step.
import { unzlibSync } from 'fflate';

export function unpackSeries(text, step) {
  const letters = atob(text);
  const packed = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i += 1) packed[i] = letters.charCodeAt(i);
  const bytes = unzlibSync(packed);
  const values = [];
  let at = 0;
  let last = 0;
  while (at < bytes.length) {
    let number = 0;
    let factor = 1;
    let byte;
    do {
      byte = bytes[at];
      at += 1;
      number += (byte & 0x7f) * factor;
      factor *= 128;
    } while (byte >= 0x80);
    last += number % 2 === 0 ? number / 2 : -(number + 1) / 2;
    values.push(last * step);
  }
  return Float64Array.from(values);
}
