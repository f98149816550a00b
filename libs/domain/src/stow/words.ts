import type { Stow } from '@rundlet/contracts';

const MOUTH_WORDS = {
  'lowest-bay': 'at its first bay',
  'highest-bay': 'at its last bay',
  'both-ends': 'at either end',
  'every-bay': 'at every bay',
} as const;

/** How a zone is stowed, after “It is stowed …”. */
export function stowWords(stow: Stow): string {
  const size =
    stow.largestCaskLitres === null ? '' : `, for casks up to ${String(stow.largestCaskLitres)} L`;
  if (stow.kind === 'racked') return `in racks, each place reached alone${size}`;
  const how = stow.kind === 'dunnage' ? 'on dunnage, tier on tier' : 'on pallets, one on another';
  return `${how}, each row reached ${MOUTH_WORDS[stow.mouth]}${size}`;
}
