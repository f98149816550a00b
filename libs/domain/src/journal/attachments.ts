import type { Attachment, JournalEntry } from '@rundlet/contracts';
import type { Fail } from './verify.ts';

/** What an entry has attached; one that holds a device's act, what that act has. */
export function attachmentsOf({
  kind,
  body,
}: Pick<JournalEntry, 'kind' | 'body'>): readonly Attachment[] {
  const carrier = kind === 'act.hold' ? (body['act'] as JournalEntry).body : body;
  return (carrier['attachments'] as Attachment[] | undefined) ?? [];
}

/** Where the bytes of attachments are kept. */
export interface AttachmentLookup {
  /** What is wrong with the bytes kept, in words; null when they are there and hash to what names them. */
  faultOf(attachment: Attachment): Promise<string | null>;
}

/** Attachments by the entry that named them first, to be looked at once the journal has been read. */
export class AttachmentChecks {
  readonly #named = new Map<string, { attachment: Attachment; entry: JournalEntry }>();

  note(entry: JournalEntry): void {
    for (const attachment of attachmentsOf(entry)) {
      const key = `${attachment.sha256} ${attachment.mediaType}`;
      if (!this.#named.has(key)) this.#named.set(key, { attachment, entry });
    }
  }

  /** How many were looked at. */
  async run(lookup: AttachmentLookup | undefined, fail: Fail): Promise<number> {
    if (!lookup) return 0;
    for (const { attachment, entry } of this.#named.values()) {
      const fault = await lookup.faultOf(attachment);
      if (fault !== null)
        fail(
          `the attachment “${attachment.name}” ${fault}`,
          entry,
          `attachment:${attachment.sha256}`,
        );
    }
    return this.#named.size;
  }
}
