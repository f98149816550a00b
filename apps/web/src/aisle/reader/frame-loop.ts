import { decode, type ReadText } from './decoder.ts';

/** Frames are scaled to this width: enough pixels for a module, few enough for ten looks a second. */
const FRAME_PX = 1024;
const REST_MS = 40;
/** The same code stays in the picture for a while; it counts once. */
const SAME_AGAIN_MS = 2500;

/** Reads a playing video until told to stop; one frame at a time, always the newest. */
export function readFrames(
  video: HTMLVideoElement,
  onCode: (code: ReadText) => void,
  onFault: (message: string) => void,
): () => void {
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d', { willReadFrequently: true });
  const lastSeen = new Map<string, number>();
  let stopped = false;
  let faults = 0;

  const look = async (): Promise<void> => {
    if (stopped || !context) return;
    if (video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA && !document.hidden) {
      const scale = Math.min(1, FRAME_PX / video.videoWidth);
      canvas.width = Math.round(video.videoWidth * scale);
      canvas.height = Math.round(video.videoHeight * scale);
      context.drawImage(video, 0, 0, canvas.width, canvas.height);
      try {
        const codes = await decode(
          context.getImageData(0, 0, canvas.width, canvas.height),
          'frame',
        );
        for (const code of codes) report(code);
        faults = 0;
      } catch (error) {
        faults++;
        if (faults === 3) onFault(error instanceof Error ? error.message : String(error));
      }
    }
    if (!stopped) setTimeout(() => void look(), REST_MS);
  };
  const report = (code: ReadText): void => {
    const now = performance.now();
    const before = lastSeen.get(code.text);
    lastSeen.set(code.text, now);
    if (!stopped && (before === undefined || now - before > SAME_AGAIN_MS)) onCode(code);
  };
  void look();
  return () => {
    stopped = true;
  };
}
