import type { Act, ActOf, RecordKind, RecordOf, SubmittableKind } from '@rundlet/contracts';
import { v7 as uuid } from 'uuid';
import { sha256Hex } from '../journal/sha256.ts';
import type { Cells } from './cells.ts';
import type { Columns } from './csv-rows.ts';

/** What an import may look up while it reads its rows; earlier rows of the same file count. */
export interface LookUps {
  /** When the file arrived. */
  readonly now: string;
  /** Id of the record with this code; notes a fault at the column when there is none. */
  idByCode(cells: Cells, column: string, kind: RecordKind, code: string): Promise<string>;
  /** Id of a cask by its code or one of its other numbers. */
  caskId(cells: Cells, column: string): Promise<string>;
  record<K extends RecordKind>(kind: K, id: string): Promise<RecordOf<K> | null>;
  nextCaskCode(): Promise<string>;
  /** Id of a record that the row makes. */
  newId(): string;
}

/** How rows of one kind of file become acts. */
export interface ImportKindReader extends Columns {
  /** Names of an act's fields that stand in a column of another name. */
  readonly columnOf: Readonly<Record<string, string>>;
  /** Columns with codes of records that large files name by the thousand: they are looked up together. */
  readonly codesOf?: Readonly<Record<string, RecordKind>>;
  acts(cells: Cells, lookUps: LookUps): Promise<Act[]>;
}

/** An act of a file's row. Without an id it gets one when its turn comes. */
export function act<K extends SubmittableKind>(
  kind: K,
  happenedAt: string,
  body: ActOf<K>['body'],
  id = '',
): Act {
  return { id, kind, happenedAt, body } as Act;
}

/**
 * An id that the same content always gets: so the same reading in a file sent twice is the same act. A UUIDv7 whose random part
 * is the content's hash.
 */
export const idOfContent = (happenedAt: string, content: string): string =>
  idsOfContent(Date.parse(happenedAt), content, 1)[0] as string;

/** As many ids as that, one after another. */
export function idsOfContent(msecs: number, content: string, many: number): string[] {
  const random = Uint8Array.from(Buffer.from(sha256Hex(content).slice(0, 32), 'hex'));
  const seq = Buffer.from(random).readUInt32BE(12);
  return Array.from({ length: many }, (_, i) => uuid({ msecs: msecs + i, random, seq }));
}
