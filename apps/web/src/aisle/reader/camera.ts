/**
 * The device's camera. One stream is kept over several pages and let go a little after the last user left: asking anew each
 * time makes some phones ask their owner anew each time.
 */
const LET_GO_AFTER_MS = 20_000;
const REMEMBERED = 'rundlet-camera';

export type CameraFault = 'no-secure-page' | 'no-camera' | 'not-allowed' | 'in-use';
export class CameraError extends Error {
  readonly fault: CameraFault;
  constructor(fault: CameraFault) {
    super(CAMERA_WORDS[fault]);
    this.fault = fault;
  }
}
const CAMERA_WORDS: Record<CameraFault, string> = {
  'no-secure-page':
    'Browsers open the camera only on pages over https. Type the code, use a hand scanner, or take a photo instead.',
  'no-camera': 'This device has no camera that the browser can open.',
  'not-allowed':
    'The camera is not allowed for this page. Allow it in the browser’s site settings, then start again.',
  'in-use': 'The camera is in use by another program.',
};

let stream: MediaStream | null = null;
let users = 0;
let letGo: ReturnType<typeof setTimeout> | undefined;

const remembered = (): string | null => {
  try {
    return localStorage.getItem(REMEMBERED);
  } catch {
    return null;
  }
};

/** @throws CameraError */
export async function takeCamera(): Promise<MediaStream> {
  clearTimeout(letGo);
  users++;
  try {
    if (stream?.active) return stream;
    stream = await open(remembered());
    return stream;
  } catch (error) {
    users--;
    throw error;
  }
}

export function leaveCamera(): void {
  users = Math.max(0, users - 1);
  if (users === 0) letGo = setTimeout(stop, LET_GO_AFTER_MS);
}

function stop(): void {
  for (const track of stream?.getTracks() ?? []) track.stop();
  stream = null;
}
addEventListener('pagehide', stop);

/** Another lens: phones with several often begin with one that cannot focus near. Remembered on this device. */
export async function switchCamera(deviceId: string): Promise<MediaStream> {
  stop();
  stream = await open(deviceId);
  try {
    localStorage.setItem(REMEMBERED, deviceId);
  } catch {
    // Not remembered, then.
  }
  return stream;
}

export async function cameras(): Promise<readonly { id: string; label: string }[]> {
  const devices = await navigator.mediaDevices.enumerateDevices();
  return devices
    .filter((device) => device.kind === 'videoinput' && device.deviceId !== '')
    .map((device, i) => ({
      id: device.deviceId,
      label: device.label || `Camera ${String(i + 1)}`,
    }));
}

/** Whether starting would ask nobody anything. */
export async function cameraIsAllowed(): Promise<boolean> {
  try {
    return (await navigator.permissions.query({ name: 'camera' })).state === 'granted';
  } catch {
    return false;
  }
}

async function open(deviceId: string | null): Promise<MediaStream> {
  // Typed as always there, but absent on pages that are not secure.
  const media = navigator.mediaDevices as MediaDevices | undefined;
  if (!media) throw new CameraError(isSecureContext ? 'no-camera' : 'no-secure-page');
  const size = { width: { ideal: 1920 }, height: { ideal: 1080 } };
  try {
    return await media.getUserMedia({
      audio: false,
      video: deviceId
        ? { deviceId: { exact: deviceId }, ...size }
        : { facingMode: { ideal: 'environment' }, ...size },
    });
  } catch (error) {
    const name = error instanceof DOMException ? error.name : '';
    if (deviceId && (name === 'OverconstrainedError' || name === 'NotFoundError'))
      return open(null);
    if (name === 'NotAllowedError') throw new CameraError('not-allowed');
    if (name === 'NotReadableError') throw new CameraError('in-use');
    if (name === 'NotFoundError' || name === 'OverconstrainedError')
      throw new CameraError('no-camera');
    throw error;
  }
}
