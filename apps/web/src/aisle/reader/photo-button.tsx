import { useRef, useState } from 'react';
import { Button } from '../../kit/button.tsx';
import { CodeText } from '../../kit/code-field.tsx';
import { Notice } from '../../kit/surface.tsx';
import { distinctTexts } from './distinct-texts.ts';
import { readPhoto } from './photo.ts';

type State =
  | { kind: 'idle' }
  | { kind: 'reading' }
  | { kind: 'told'; message: string }
  /** One photo, several labels: the person says which. */
  | { kind: 'several'; found: readonly { text: string; shown: string }[] };

/** A photo instead of the camera's stream: for high racks, and where the browser may not open the camera. */
export function PhotoButton({ onText }: { onText: (text: string) => void }) {
  const input = useRef<HTMLInputElement>(null);
  const [state, setState] = useState<State>({ kind: 'idle' });
  const read = async (file: File): Promise<void> => {
    setState({ kind: 'reading' });
    try {
      const found = distinctTexts((await readPhoto(file)).map(({ text }) => text));
      const [first] = found;
      if (!first)
        setState({
          kind: 'told',
          message:
            'No code was found in this photo. Go nearer, hold the label flat and in the light.',
        });
      else if (found.length > 1) setState({ kind: 'several', found });
      else {
        setState({ kind: 'idle' });
        onText(first.text);
      }
    } catch (error) {
      setState({ kind: 'told', message: error instanceof Error ? error.message : String(error) });
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
          busy={state.kind === 'reading'}
          onClick={() => {
            input.current?.click();
          }}
        >
          {state.kind === 'reading' ? 'Reading the photo …' : 'Read from a photo'}
        </Button>
      </div>
      {state.kind === 'told' && (
        <Notice tone="caution" live>
          {state.message}
        </Notice>
      )}
      {state.kind === 'several' && (
        <Notice
          live
          title="This photo shows several codes"
          actions={state.found.map(({ text, shown }) => (
            <Button
              key={text}
              onClick={() => {
                onText(text);
              }}
            >
              <CodeText code={shown} />
            </Button>
          ))}
        >
          Choose the one that is meant.
        </Notice>
      )}
    </div>
  );
}
