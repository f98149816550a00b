import { useRef, useState } from 'react';
import { Button } from '../../kit/button.tsx';
import { CodeField } from '../../kit/code-field.tsx';
import { Notice } from '../../kit/surface.tsx';
import { useScans } from '../../shell/wedge.ts';
import { readPhoto } from './photo.ts';
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

function PhotoButton({ onText }: { onText: (text: string) => void }) {
  const input = useRef<HTMLInputElement>(null);
  const [state, setState] = useState<'idle' | 'reading' | { message: string }>('idle');
  const read = async (file: File): Promise<void> => {
    setState('reading');
    try {
      const [first] = await readPhoto(file);
      if (!first) {
        setState({
          message:
            'No code was found in this photo. Go nearer, hold the label flat and in the light.',
        });
        return;
      }
      setState('idle');
      onText(first.text);
    } catch (error) {
      setState({ message: error instanceof Error ? error.message : String(error) });
    }
  };
  return (
    <div className="stack-tight">
      <input
        ref={input}
        className="visually-hidden"
        type="file"
        accept="image/*"
        aria-label="Photo of a label"
        tabIndex={-1}
        onChange={(event) => {
          const file = event.target.files?.[0];
          event.target.value = '';
          if (file) void read(file);
        }}
      />
      <div>
        <Button
          icon="camera"
          busy={state === 'reading'}
          onClick={() => {
            input.current?.click();
          }}
        >
          {state === 'reading' ? 'Reading the photo …' : 'Read from a photo'}
        </Button>
      </div>
      {typeof state === 'object' && (
        <Notice tone="caution" live>
          {state.message}
        </Notice>
      )}
    </div>
  );
}
