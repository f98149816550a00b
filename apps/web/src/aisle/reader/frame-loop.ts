import { decode, type ReadText } from './decoder.ts';

/** Frames are scaled to this width: enough pixels for a module, few enough for ten looks a second. */
const FRAME_PX = 1024;
const REST_MS = 40;
/** The same code stays in the picture for a while; it counts once. */
const SAME_AGAIN_MS = 2500;

/**
 * Reads a playing video until told to stop. One frame is with the decoder at a time and the next is taken when it answers, so
 * what is read is never more than one frame old. By turns it is what lies inside the aiming corners, with every pixel the
 * camera gives, and the whole picture: a small code far away needs the one, a large code held askew the other.
 */
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
  let looks = 0;

  const look = async (): Promise<void> => {
    if (stopped || !context) return;
    if (video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA && !document.hidden) {
      const { left, top, width, height } = looks++ % 2 === 0 ? aimedAt(video) : wholeOf(video);
      const scale = Math.min(1, FRAME_PX / width);
      canvas.width = Math.round(width * scale);
      canvas.height = Math.round(height * scale);
      context.drawImage(video, left, top, width, height, 0, 0, canvas.width, canvas.height);
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

interface Region {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

const wholeOf = ({ videoWidth, videoHeight }: HTMLVideoElement): Region => ({
  left: 0,
  top: 0,
  width: videoWidth,
  height: videoHeight,
});

/** Of what is shown, the part inside the aiming corners (`.viewfinder-aim`); the picture fills its frame and is cut at the sides. */
const AIM = { across: 0.72, down: 0.64 };

function aimedAt({ videoWidth, videoHeight, clientWidth, clientHeight }: HTMLVideoElement): Region {
  const shown = Math.max(clientWidth / videoWidth, clientHeight / videoHeight) || 1;
  const width = Math.min(videoWidth, (clientWidth / shown) * AIM.across || videoWidth);
  const height = Math.min(videoHeight, (clientHeight / shown) * AIM.down || videoHeight);
  return { left: (videoWidth - width) / 2, top: (videoHeight - height) / 2, width, height };
}
