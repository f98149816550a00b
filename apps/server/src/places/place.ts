import type { Place, Position } from '@rundlet/contracts';

/** A position without its bookkeeping. */
export const placeOf = ({
  id,
  zoneId,
  code,
  row,
  bay,
  level,
  slot,
  capacity,
  walkOrder,
}: Position): Place => ({ id, zoneId, code, row, bay, level, slot, capacity, walkOrder });
