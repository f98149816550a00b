import { useState } from 'react';
import { api, client } from '../../data/client.ts';
import { Button, errorWords, TextField } from '../../kit/kit.ts';

interface Named {
  id: string;
  code: string;
}

/** Casks named by code, scanned or typed. */
export function CaskChips({
  label,
  casks,
  onChange,
}: {
  label: string;
  casks: readonly Named[];
  onChange: (casks: Named[]) => void;
}) {
  const [text, setText] = useState('');
  const [error, setError] = useState<string>();
  const add = async () => {
    try {
      const answer = await client.call(api.casks.scan, { query: { text } });
      const cask = answer.matches.find((m) => m.kind === 'cask');
      if (!cask) {
        setError(answer.message);
        return;
      }
      if (!casks.some((c) => c.id === cask.id))
        onChange([...casks, { id: cask.id, code: cask.code }]);
      setText('');
      setError(undefined);
    } catch (problem) {
      setError(errorWords(problem).detail);
    }
  };
  return (
    <div className="stack-tight">
      <div className="line">
        <TextField
          label={label}
          value={text}
          onChange={setText}
          error={error}
          hint="Cask code"
          onKeyDown={(event) => {
            if (event.key === 'Enter') {
              event.preventDefault();
              void add();
            }
          }}
        />
        <Button disabled={text.trim() === ''} onClick={() => void add()}>
          Add
        </Button>
      </div>
      {casks.length > 0 && (
        <ul className="line bare-list">
          {casks.map((c) => (
            <li key={c.id}>
              <Button
                icon="cross"
                aria-label={`Take ${c.code} off: ${label.toLowerCase()}`}
                onClick={() => {
                  onChange(casks.filter((x) => x.id !== c.id));
                }}
              >
                {c.code}
              </Button>
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
