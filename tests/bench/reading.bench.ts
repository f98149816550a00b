/**
 * How fast pictures are read. With RUNDLET_PHOTO_CORPUS set: the photographs there as camera frames and as photos, and a photo of 12
 * megapixels; without it rendered scenes only, and it says so. CPU milliseconds of this process; leaves with 1 if a floor is missed.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { makeLinear, makeQr } from '@rundlet/labels';
import { readCodes, type Picture, type ReadOptions } from '@rundlet/reading';
import { paper, photograph, place } from '../reference/reading/scenes.ts';
import { CORPUS, loadSet, median, startSecondEngine } from '../reference/reading/support.ts';

const FRAME_FLOOR_MS = 10;
const LARGE_FLOOR_MS = 400;
const SETS = ['qrcode-1', 'qrcode-3', 'qrcode-5', 'code128-1', 'code128-2', 'code39-3'];
const second = await startSecondEngine();
let missed = false;

function timesOf(pictures: readonly Picture[], options: ReadOptions): number[] {
  const read = (picture: Picture): number => {
    const before = process.cpuUsage();
    readCodes(picture, options);
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1000;
  };
  pictures.forEach(read);
  return pictures.map(read);
}

function tell(name: string, times: readonly number[], floor?: number): void {
  const middle = median(times);
  const late = times.toSorted((a, b) => a - b)[Math.floor(times.length * 0.95)] ?? NaN;
  const missedHere = floor !== undefined && middle > floor;
  missed ||= missedHere;
  console.log(
    `${name}: median ${middle.toFixed(1)} ms, 95th percentile ${late.toFixed(0)} ms (${times.length} pictures)` +
      (floor === undefined ? '' : `, floor ${floor} ms${missedHere ? ' MISSED' : ''}`),
  );
}

const url = 'HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/C00006E4';
const scenes = Array.from({ length: 30 }, (_, n) => {
  const scene = paper(640, 480, 200);
  if (n % 3 !== 2)
    place(scene, makeQr(url, 'Q'), {
      x: 240 + n * 4,
      y: 200 + n,
      module: 4 + (n % 4),
      degrees: n * 7,
    });
  else
    place(scene, makeLinear('code128', 'C00006E4'), {
      x: 320,
      y: 200 + n,
      module: 2,
      degrees: n / 3,
    });
  return photograph(scene, { noise: 20, seed: n + 1 });
});
tell(
  'rendered frames of 640 × 480 at every tilt, first engine',
  timesOf(scenes, { effort: 'frame' }),
);
tell(
  'frames without a code, both engines',
  timesOf(
    Array.from({ length: 20 }, (_, n) =>
      photograph(paper(640, 480, 150), { noise: 60, seed: n + 1 }),
    ),
    { effort: 'frame', secondEngine: second },
  ),
);

const sets = SETS.filter((set) => CORPUS !== '' && existsSync(join(CORPUS, set)));
if (sets.length === 0)
  console.warn('!! RUNDLET_PHOTO_CORPUS names no photographs: only rendered scenes were timed.');
else {
  const photos = sets.flatMap(loadSet).map(({ picture }) => picture);
  const frames = photos.filter(({ width, height }) => width * height <= 640 * 480);
  tell(
    'photographed frames up to 640 × 480, first engine',
    timesOf(frames, { effort: 'frame' }),
    FRAME_FLOOR_MS,
  );
  tell(
    'photographed frames up to 640 × 480, both engines',
    timesOf(frames, { effort: 'frame', secondEngine: second }),
  );
  tell('photos, both engines, everything tried', timesOf(photos, { secondEngine: second }));
  const background = loadSet('qrcode-1').map(({ picture }) => picture);
  for (const factor of [1, 3, 6])
    tell(
      `12 megapixels, code drawn ${factor} times its size, both engines`,
      timesOf(
        background.slice(0, 6).map((picture) => composite(picture, factor)),
        { secondEngine: second },
      ),
      LARGE_FLOOR_MS,
    );
}
if (missed) process.exitCode = 1;

/** A photo set into a large plain one, each of its pixels `factor` wide. */
function composite({ data, width, height }: Picture, factor: number): Picture {
  const [wide, high] = [4032, 3024];
  const large = new Uint8ClampedArray(wide * high * 4).fill(140);
  const [left, top] = [
    Math.floor((wide - width * factor) / 2),
    Math.floor((high - height * factor) / 2),
  ];
  for (let y = Math.max(0, top); y < Math.min(high, top + height * factor); y++)
    for (let x = Math.max(0, left); x < Math.min(wide, left + width * factor); x++) {
      const from = (Math.floor((y - top) / factor) * width + Math.floor((x - left) / factor)) * 4;
      large.set(data.subarray(from, from + 4), (y * wide + x) * 4);
    }
  return { data: large, width: wide, height: high };
}
