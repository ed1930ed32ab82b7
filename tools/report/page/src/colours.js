// Colours. Lines: Okabe and Ito (2008), Color Universal Design. Maps: Tol (2021), Colour Schemes,
// diverging scheme BuRd. Both can be distinguished by colour-blind readers; lines also differ in
// their dashes.
import { choice } from './choice.js';

const lines = {
  light: ['#0072b2', '#d55e00', '#009e73', '#cc79a7', '#e69f00', '#56b4e9', '#000000', '#8a7f00'],
  dark: ['#56b4e9', '#f0803c', '#1cc095', '#e093bf', '#e69f00', '#7fa8ff', '#ffffff', '#f0e442'],
};
const dashes = [[], [8, 4], [2, 3], [10, 3, 2, 3], [5, 5], [14, 4], [3, 3, 8, 3], [1, 4]];

const cold = [[33, 102, 172], [67, 147, 195], [146, 197, 222], [209, 229, 240]];
const warm = [[253, 219, 199], [244, 165, 130], [214, 96, 77], [178, 24, 43]];
const middle = [247, 247, 247];
const steps = [...cold, middle, ...warm];

const system = window.matchMedia('(prefers-color-scheme: dark)');
let printing = false;

export function theme() {
  if (printing) return 'light';
  if (choice.theme !== 'auto') return choice.theme;
  return system.matches ? 'dark' : 'light';
}

export function setPrinting(on) {
  printing = on;
}

export function isPrinting() {
  return printing;
}

export function onSystemTheme(listener) {
  system.addEventListener('change', listener);
}

export function lineColour(i) {
  const list = lines[theme()];
  return list[i % list.length];
}

export function lineDash(i) {
  // From the ninth line on, colours repeat with other dashes.
  return dashes[(i + 3 * Math.floor(i / dashes.length)) % dashes.length];
}

export function ink(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
}

// Red, green and blue of a value from -1 (cold) to 1 (warm).
export function diverging(value) {
  const position = (Math.min(1, Math.max(-1, value)) + 1) * 0.5 * (steps.length - 1);
  const i = Math.min(steps.length - 2, Math.floor(position));
  const t = position - i;
  return steps[i].map((c, k) => Math.round(c + t * (steps[i + 1][k] - c)));
}

export function divergingCss(value) {
  return `rgb(${diverging(value).join(' ')})`;
}

// Red, green and blue of a value from 0 (nothing) to 1: Tol (2021), scheme YlOrBr.
const sequence = [[255, 255, 229], [255, 247, 188], [254, 227, 145], [254, 196, 79], [251, 154, 41], [236, 112, 20], [204, 76, 2], [153, 52, 4], [102, 37, 6]];
export function sequential(value) {
  const position = Math.min(1, Math.max(0, value)) * (sequence.length - 1);
  const i = Math.min(sequence.length - 2, Math.floor(position));
  return sequence[i].map((c, k) => Math.round(c + (position - i) * (sequence[i + 1][k] - c)));
}

export function sequentialCss(value) {
  return `rgb(${sequential(value).join(' ')})`;
}

// Text colour with sufficient contrast on a background, by relative luminance (WCAG 2.2).
export function inkOn(rgb) {
  const linear = rgb.map((c) => {
    const s = c / 255;
    return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
  });
  const luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  return luminance > 0.18 ? '#000000' : '#ffffff'; // 4.5 at least, whichever
}

export function faded(colour, opacity) {
  const n = parseInt(colour.slice(1), 16);
  return `rgb(${n >> 16} ${(n >> 8) & 255} ${n & 255} / ${opacity})`;
}
