import type uPlot from 'uplot';

/** A measured point with its standard uncertainty; the bar drawn is two of them either way. */
export interface Reading {
  atMs: number;
  value: number;
  uncertainty: number;
  /** A doubted reading is drawn hollow. */
  doubted: boolean;
}
/** Something that happened, as a stroke with a word at the head of the picture. */
export interface Mark {
  atMs: number;
  word: string;
}

/** What had been forecast for a reading, with its 90 % interval. */
export interface Stood {
  atMs: number;
  value: number;
  low: number;
  high: number;
}

/** A bracket with an open diamond, a little before the reading it stood for. */
export function drawStood(u: uPlot, stood: readonly Stood[], colour: string, paper: string): void {
  const { ctx } = u;
  const px = devicePixelRatio;
  ctx.save();
  clipToPlot(u);
  ctx.strokeStyle = colour;
  ctx.fillStyle = paper;
  ctx.lineWidth = 1.5 * px;
  for (const s of stood) {
    const x = u.valToPos(s.atMs / 1000, 'x', true) - 8 * px;
    const [low, middle, high] = [s.low, s.value, s.high].map((v) => u.valToPos(v, 'y', true));
    if (low === undefined || middle === undefined || high === undefined) continue;
    ctx.beginPath();
    ctx.moveTo(x + 4 * px, low);
    ctx.lineTo(x, low);
    ctx.lineTo(x, high);
    ctx.lineTo(x + 4 * px, high);
    ctx.stroke();
    ctx.beginPath();
    ctx.moveTo(x, middle - 4 * px);
    ctx.lineTo(x + 4 * px, middle);
    ctx.lineTo(x, middle + 4 * px);
    ctx.lineTo(x - 4 * px, middle);
    ctx.closePath();
    ctx.fill();
    ctx.stroke();
  }
  ctx.restore();
}

export function drawReadings(
  u: uPlot,
  readings: readonly Reading[],
  colours: { ink: string; paper: string; bad: string },
): void {
  const { ctx } = u;
  const px = devicePixelRatio;
  ctx.save();
  clipToPlot(u);
  for (const r of readings) {
    const x = u.valToPos(r.atMs / 1000, 'x', true);
    const y = (v: number) => u.valToPos(v, 'y', true);
    ctx.strokeStyle = r.doubted ? colours.bad : colours.ink;
    ctx.fillStyle = r.doubted ? colours.paper : colours.ink;
    ctx.lineWidth = 1.5 * px;
    ctx.beginPath();
    ctx.moveTo(x, y(r.value - 2 * r.uncertainty));
    ctx.lineTo(x, y(r.value + 2 * r.uncertainty));
    ctx.stroke();
    ctx.beginPath();
    ctx.arc(x, y(r.value), 4 * px, 0, 2 * Math.PI);
    ctx.fill();
    ctx.stroke();
  }
  ctx.restore();
}

export function drawMarks(
  u: uPlot,
  marks: readonly Mark[],
  level: { value: number; label: string } | undefined,
  colours: { line: string; ink: string; bad: string; font: string },
): void {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  ctx.save();
  clipToPlot(u);
  ctx.font = `${String(11 * px)}px ${colours.font}`;
  // The axes leave the context set for their own labels.
  ctx.textAlign = 'left';
  ctx.textBaseline = 'alphabetic';
  ctx.lineWidth = px;
  let freeFrom = -Infinity;
  for (const mark of [...marks].sort((a, b) => a.atMs - b.atMs)) {
    const x = u.valToPos(mark.atMs / 1000, 'x', true);
    ctx.strokeStyle = colours.line;
    ctx.setLineDash([2 * px, 3 * px]);
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    // Words that would run into each other are left out; the stroke stays.
    if (x < freeFrom) continue;
    ctx.fillStyle = colours.ink;
    ctx.fillText(mark.word, x + 3 * px, bbox.top + 12 * px);
    freeFrom = x + ctx.measureText(mark.word).width + 8 * px;
  }
  if (level) {
    const [top, foot] = [bbox.top, bbox.top + bbox.height];
    const at = u.valToPos(level.value, 'y', true);
    const y = Math.min(foot - px, Math.max(top + 24 * px, at));
    const away = at > foot ? ' lies below' : at < top ? ' lies above' : '';
    ctx.strokeStyle = away ? 'transparent' : colours.bad;
    ctx.setLineDash([6 * px, 4 * px]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
    ctx.fillStyle = colours.bad;
    ctx.fillText(level.label + away, bbox.left + 6 * px, y - 5 * px);
  }
  ctx.restore();
}

function clipToPlot({ ctx, bbox }: uPlot): void {
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
}
