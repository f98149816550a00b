import { NumberField } from '../../kit/kit.ts';
import type { Wishes } from './wishes.ts';

type NumberKey = {
  [K in keyof Wishes]: Wishes[K] extends number | null ? K : never;
}[keyof Wishes];

/** What every part of the form is handed. */
export interface WishFormPart {
  wishes: Wishes;
  change: (more: Partial<Wishes>) => void;
  error: (path: string) => string | undefined;
}

/** One figure of the wishes, by its name there and in the request. */
export function NumberWish({
  part,
  name,
  path,
  label,
  unit,
  hint,
}: {
  part: WishFormPart;
  name: NumberKey;
  path: string;
  label: string;
  unit: string;
  hint?: string;
}) {
  return (
    <NumberField
      label={label}
      unit={unit}
      {...(hint === undefined ? {} : { hint })}
      value={part.wishes[name]}
      onChange={(value) => {
        part.change({ [name]: value });
      }}
      error={part.error(path)}
    />
  );
}
