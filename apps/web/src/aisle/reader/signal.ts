/** A short tone and a short buzz, for eyes that are on the cask. */
let audio: AudioContext | undefined;

export function signal(kind: 'good' | 'doubtful'): void {
  // Vibration is missing on some systems, and refused before the first touch on others.
  if ('vibrate' in navigator) navigator.vibrate(kind === 'good' ? 60 : [60, 80, 60]);
  try {
    audio ??= new AudioContext();
    const tone = audio.createOscillator();
    const level = audio.createGain();
    tone.frequency.value = kind === 'good' ? 1480 : 370;
    level.gain.setValueAtTime(0.12, audio.currentTime);
    level.gain.exponentialRampToValueAtTime(0.001, audio.currentTime + 0.16);
    tone.connect(level).connect(audio.destination);
    tone.start();
    tone.stop(audio.currentTime + 0.17);
  } catch {
    // No sound on this device.
  }
}
