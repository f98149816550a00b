import {
  ATTACHMENT_TYPES,
  carriesAttachments,
  MOST_ATTACHMENTS,
  type ActKind,
  type Attachment,
} from '@rundlet/contracts';
import { useRef, useState } from 'react';
import { Button, format, Notice } from '../kit/kit.ts';
import { attachedFrom } from './attached.ts';
import './attachments.css';
import type { ActState } from './use-act.ts';

/** Photographs and papers that go with an act; nothing where its kind carries none. */
export function AttachmentsField<K extends ActKind>({ act }: { act: ActState<K> }) {
  const [busy, setBusy] = useState(false);
  const [wrong, setWrong] = useState<string | null>(null);
  const input = useRef<HTMLInputElement>(null);
  if (!carriesAttachments(act.kind)) return null;
  const add = async (files: readonly File[]) => {
    setBusy(true);
    setWrong(null);
    try {
      for (const file of files) act.attach(await attachedFrom(file));
    } catch (error) {
      setWrong(error instanceof Error ? error.message : String(error));
    } finally {
      setBusy(false);
    }
  };
  const full = act.attached.length >= MOST_ATTACHMENTS;
  return (
    <div className="field">
      <input
        ref={input}
        className="visually-hidden"
        type="file"
        multiple
        accept={['image/*', ...ATTACHMENT_TYPES].join(',')}
        aria-label="Photographs and papers"
        tabIndex={-1}
        onChange={(event) => {
          const files = [...(event.target.files ?? [])];
          event.target.value = '';
          void add(files);
        }}
      />
      <div>
        <Button
          icon="camera"
          busy={busy}
          disabled={full}
          onClick={() => {
            input.current?.click();
          }}
        >
          {busy ? 'Reading the file …' : 'Attach a photograph or PDF'}
        </Button>
      </div>
      <span className="field-hint">
        Of the gauge sheet or a report, for instance: at most 10 MB each, {MOST_ATTACHMENTS} in all.
        A large photograph is made smaller first.
      </span>
      {wrong !== null && (
        <Notice tone="bad" live>
          {wrong}
        </Notice>
      )}
      {act.attached.length > 0 && (
        <ul className="attached" aria-label="Attached">
          {act.attached.map(({ attachment }) => (
            <li key={attachment.sha256}>
              <span>
                {attachment.name} <span className="soft small">{sizeOf(attachment)}</span>
              </span>
              <Button
                kind="quiet"
                icon="cross"
                onClick={() => {
                  act.detach(attachment.sha256);
                }}
              >
                Take off<span className="visually-hidden"> {attachment.name}</span>
              </Button>
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}

const sizeOf = ({ bytes }: Attachment): string =>
  bytes < 1e6
    ? `${format.number(Math.ceil(bytes / 1e3))} kB`
    : `${format.number(bytes / 1e6, 1)} MB`;
