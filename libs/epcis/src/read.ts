import type { z } from 'zod';
import { EpcisDocument, EpcisEvent, EpcisQueryDocument } from './events.ts';

export interface ReadDocument {
  readonly events: readonly EpcisEvent[];
  /** The place of each of them in the document. */
  readonly indexes: readonly number[];
  /** Events that could not be read, by their place in the document, and why. */
  readonly unread: readonly { readonly index: number; readonly reason: string }[];
}

/** EPCIS 1.2 wrote words of the vocabulary as URNs, and the web vocabulary has addresses for them; here a word is a word. */
const WORD =
  /^(?:urn:epcglobal:cbv:(?:bizstep|disp|er|sdt):|https:\/\/ref\.gs1\.org\/cbv\/(?:BizStep|Disp|ER|SDT)-|cbv:(?:BizStep|Disp|ER|SDT)-)/;
const bare = (word: unknown): unknown => (typeof word === 'string' ? word.replace(WORD, '') : word);

/** Reads an EPCIS 2.0 document, an answer to a query, or one event alone. @throws RangeError when it is none of these */
export function readDocument(document: unknown): ReadDocument {
  const events: EpcisEvent[] = [];
  const indexes: number[] = [];
  const unread: { index: number; reason: string }[] = [];
  for (const [index, raw] of eventListOf(document).entries()) {
    const parsed = EpcisEvent.safeParse(plainWords(raw));
    if (parsed.success) {
      events.push(parsed.data);
      indexes.push(index);
    } else unread.push({ index, reason: reasonOf(parsed.error) });
  }
  return { events, indexes, unread };
}

function eventListOf(document: unknown): readonly unknown[] {
  const type = (document as { type?: unknown } | null)?.type;
  if (type === 'EPCISDocument') {
    const parsed = EpcisDocument.safeParse(document);
    if (parsed.success) return parsed.data.epcisBody.eventList;
    throw new RangeError(`This is not an EPCIS 2.0 document: ${reasonOf(parsed.error)}`);
  }
  if (type === 'EPCISQueryDocument') {
    const parsed = EpcisQueryDocument.safeParse(document);
    if (parsed.success) return parsed.data.epcisBody.queryResults.resultsBody.eventList;
    throw new RangeError(`This is not an EPCIS query’s answer: ${reasonOf(parsed.error)}`);
  }
  if (typeof type === 'string' && type.endsWith('Event')) return [document];
  throw new RangeError(
    'This is not EPCIS in JSON-LD: its type must be EPCISDocument, EPCISQueryDocument or that of an event. EPCIS in XML is not read.',
  );
}

function plainWords(raw: unknown): unknown {
  if (typeof raw !== 'object' || raw === null) return raw;
  const event = raw as Record<string, unknown>;
  const words = ['bizStep', 'disposition'].filter((name) => name in event);
  return { ...event, ...Object.fromEntries(words.map((name) => [name, bare(event[name])])) };
}

function reasonOf(error: z.ZodError): string {
  const [issue] = error.issues;
  return issue
    ? `${issue.path.map(String).join('.') || 'the event'}: ${issue.message}`
    : 'unreadable';
}
