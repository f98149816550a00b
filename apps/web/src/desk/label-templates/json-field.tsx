import { useImperativeHandle, useRef, type Ref } from 'react';
import { Field } from '../../kit/kit.ts';
import './json-field.css';

export interface JsonFieldHandle {
  /** Puts the cursor at a line, from 1, and shows it. */
  goTo: (line: number) => void;
}

/** A plain field for text in lines, with their numbers beside it; lines that are `marked` stand out. */
export function JsonField({
  ref,
  label,
  value,
  onChange,
  marked,
}: {
  ref: Ref<JsonFieldHandle>;
  label: string;
  value: string;
  onChange: (value: string) => void;
  marked: readonly number[];
}) {
  const area = useRef<HTMLTextAreaElement>(null);
  const numbers = useRef<HTMLDivElement>(null);
  const lines = value.split('\n');
  useImperativeHandle(ref, () => ({
    goTo: (line) => {
      const element = area.current;
      if (!element) return;
      const start = lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0);
      element.focus();
      element.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0));
      const high = element.scrollHeight / lines.length;
      element.scrollTop = Math.max(0, (line - 4) * high);
    },
  }));
  const isMarked = new Set(marked);
  return (
    <Field label={label}>
      {(bound) => (
        <div className="json-field">
          <div className="json-numbers" ref={numbers} aria-hidden="true">
            {lines.map((_, index) => (
              <span key={index} data-marked={isMarked.has(index + 1) || undefined}>
                {index + 1}
              </span>
            ))}
          </div>
          <textarea
            {...bound}
            ref={area}
            className="input json-area"
            spellCheck={false}
            autoCapitalize="off"
            autoCorrect="off"
            wrap="off"
            rows={24}
            value={value}
            onChange={(event) => {
              onChange(event.target.value);
            }}
            onScroll={(event) => {
              if (numbers.current) numbers.current.scrollTop = event.currentTarget.scrollTop;
            }}
          />
        </div>
      )}
    </Field>
  );
}
