/** Torch, zoom and focus: in the media-capture image extensions, not in the DOM types, and only on some devices. */
interface Extras {
  torch?: boolean;
  zoom?: { min: number; max: number; step: number };
  focusMode?: string[];
}

export interface TrackControls {
  readonly torch: boolean;
  readonly zoom: { readonly min: number; readonly max: number; readonly step: number } | null;
}

const trackOf = (stream: MediaStream): MediaStreamTrack | undefined => stream.getVideoTracks()[0];

export function controlsOf(stream: MediaStream): TrackControls {
  const track = trackOf(stream);
  const extras = (track && 'getCapabilities' in track ? track.getCapabilities() : {}) as Extras;
  return {
    torch: extras.torch === true,
    zoom: extras.zoom && extras.zoom.max > extras.zoom.min ? extras.zoom : null,
  };
}

const apply = (stream: MediaStream, change: object): Promise<void> =>
  trackOf(stream)
    ?.applyConstraints({ advanced: [change] })
    .catch(() => undefined) ?? Promise.resolve();

export const setTorch = (stream: MediaStream, on: boolean): Promise<void> =>
  apply(stream, { torch: on });
export const setZoom = (stream: MediaStream, zoom: number): Promise<void> =>
  apply(stream, { zoom });

/** Some phones start with a fixed focus; ask for a moving one where it is offered. */
export function keepFocusing(stream: MediaStream): void {
  const track = trackOf(stream);
  const extras = (track && 'getCapabilities' in track ? track.getCapabilities() : {}) as Extras;
  if (extras.focusMode?.includes('continuous')) void apply(stream, { focusMode: 'continuous' });
}
