/** Asks the decoding worker. Each request is answered; the worker is made on first use and kept. */
export interface ReadText {
  readonly text: string;
  readonly format: string;
}
export interface DecodeRequest {
  readonly id: number;
  readonly pixels: ArrayBuffer;
  readonly width: number;
  readonly height: number;
  /** `frame`: one of many, quickly. `photo`: the only one, thoroughly. */
  readonly effort: 'frame' | 'photo';
}
export interface DecodeAnswer {
  readonly id: number;
  readonly codes: readonly ReadText[];
  readonly error: string | null;
}

let worker: Worker | undefined;
let lastId = 0;
const waiting = new Map<number, (answer: DecodeAnswer) => void>();

function start(): Worker {
  const made = new Worker(new URL('./decode-worker.ts', import.meta.url), { type: 'module' });
  made.addEventListener('message', ({ data }: MessageEvent<DecodeAnswer>) => {
    waiting.get(data.id)?.(data);
    waiting.delete(data.id);
  });
  made.addEventListener('error', () => {
    for (const [id, answer] of waiting) answer({ id, codes: [], error: 'The decoder has failed.' });
    waiting.clear();
    made.terminate();
    worker = undefined;
  });
  return made;
}

/** Loads the decoder before the first picture, so that the first scan is not the slow one. */
export function warmUp(): void {
  worker ??= start();
}

/** @throws Error when the decoder itself failed; no code found is an empty list */
export async function decode(
  image: ImageData,
  effort: DecodeRequest['effort'],
): Promise<readonly ReadText[]> {
  worker ??= start();
  const id = ++lastId;
  const pixels = image.data.buffer;
  const answer = await new Promise<DecodeAnswer>((resolve) => {
    waiting.set(id, resolve);
    const request: DecodeRequest = { id, pixels, width: image.width, height: image.height, effort };
    worker?.postMessage(request, [pixels]);
  });
  if (answer.error !== null) throw new Error(answer.error);
  return answer.codes;
}
