import { useState } from 'react';
import { CodeField } from '../../kit/code-field.tsx';
import { useScans } from '../../shell/wedge.ts';
import { PhotoButton } from './photo-button.tsx';
import { Viewfinder } from './viewfinder.tsx';

/**
 * Every way to a code in one place: camera, hand scanner, typing, a photo. `onText` gets what was read, as it was
 * read.
 */
export function Reader({
  label,
  hint,
  action,
  busy = false,
  onText,
}: {
  label: string;
  hint?: string;
  action?: string;
  busy?: boolean;
  onText: (text: string) => void;
}) {
  const [typed, setTyped] = useState('');
  const take = (text: string): void => {
    setTyped('');
    onText(text);
  };
  useScans(take);
  return (
    <div className="stack">
      <Viewfinder onText={onText} />
      <CodeField
        label={label}
        {...(hint === undefined ? {} : { hint })}
        {...(action === undefined ? {} : { action })}
        value={typed}
        onChange={setTyped}
        busy={busy}
        onEnter={take}
      />
      <PhotoButton onText={onText} />
    </div>
  );
}
