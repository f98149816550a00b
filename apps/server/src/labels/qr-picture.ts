import { makeQr, outlineModules } from '@rundlet/labels';

/** A text as a QR code in SVG, its quiet zone included. Level L: it is printed clean and kept in a folder, and the text is long. */
export function qrPicture(text: string): string {
  const symbol = makeQr(text, 'L');
  const { columns, rows, quietModules: quiet } = symbol;
  const path = outlineModules(symbol).map(pathOf).join('');
  const size = `${String(columns + 2 * quiet)} ${String(rows + 2 * quiet)}`;
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="${String(-quiet)} ${String(-quiet)} ${size}" shape-rendering="crispEdges"><rect x="${String(-quiet)}" y="${String(-quiet)}" width="100%" height="100%" fill="#fff"/><path fill="#000" fill-rule="evenodd" d="${path}"/></svg>`;
}

function pathOf(outline: readonly number[]): string {
  let d = '';
  for (let i = 0; i < outline.length; i += 2)
    d += `${i === 0 ? 'M' : 'L'}${String(outline[i])} ${String(outline[i + 1])}`;
  return `${d}Z`;
}
