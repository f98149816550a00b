import type { Cask } from '@rundlet/contracts';
import type { Tone } from '../../kit/surface.tsx';

export const CONDITION: Record<Cask['condition'], { words: string; tone: Tone }> = {
  sound: { words: 'sound', tone: 'good' },
  suspect: { words: 'suspect', tone: 'caution' },
  leaking: { words: 'leaking', tone: 'bad' },
  'under-repair': { words: 'under repair', tone: 'caution' },
};
