/** Decodes off the page's thread, so that the picture never stutters. */
import { readCodes, secondEngine, type SecondEngine } from '@rundlet/reading';
import wasmAddress from 'zxing-wasm/reader/zxing_reader.wasm?url';
import type { DecodeAnswer, DecodeRequest } from './decoder.ts';

/** Loaded beside the work: frames do without until it is there, a photo waits for it. */
const second: Promise<SecondEngine | undefined> = import('zxing-wasm/reader')
  .then(({ prepareZXingModule }) =>
    prepareZXingModule({
      overrides: { locateFile: () => wasmAddress },
      fireImmediately: true,
    }),
  )
  .then((module) => secondEngine(module as never))
  .catch(() => undefined);
let ready: SecondEngine | undefined;
void second.then((engine) => {
  ready = engine;
});

let frameNumber = 0;

addEventListener('message', ({ data }: MessageEvent<DecodeRequest>) => void answer(data));

async function answer({ id, pixels, width, height, effort }: DecodeRequest): Promise<void> {
  let reply: DecodeAnswer;
  try {
    const engine = effort === 'photo' ? await second : ready;
    const { codes } = readCodes(
      { data: new Uint8ClampedArray(pixels), width, height },
      { effort, frameNumber: frameNumber++, ...(engine ? { secondEngine: engine } : {}) },
    );
    reply = {
      id,
      codes: codes.map(({ text, format }) => ({ text, format })),
      error: null,
    };
  } catch (error) {
    reply = { id, codes: [], error: error instanceof Error ? error.message : String(error) };
  }
  postMessage(reply);
}
