import type { ActKind } from '@rundlet/contracts';
import { correctionActs } from '../journal/corrections.ts';
import type { JournalStore } from '../journal/ports.ts';
import { accountActs } from './account.ts';
import { bottlingActs } from './bottlings.ts';
import { caskDrawingActs } from './cask-drawing.ts';
import { caskFillingActs } from './cask-filling.ts';
import { caskRegisterActs } from './cask-register.ts';
import { caskWorkActs } from './cask-work.ts';
import { checkpointActs } from './checkpoints.ts';
import type { ActHandler } from './handler.ts';
import { lineageActs } from './lineage.ts';
import { placeActs } from './places.ts';
import { planActs } from './plans.ts';
import { recordActs } from './records.ts';
import { stocktakeActs } from './stocktakes.ts';
import { vatActs } from './vats.ts';

type HandlerOf = (kind: ActKind) => ActHandler<ActKind, object>;
const made = new WeakMap<JournalStore, HandlerOf>();

/** The handler of every kind of act; a kind without one doesn't compile. */
export function actHandlers(journal: JournalStore): HandlerOf {
  const known = made.get(journal);
  if (known) return known;
  const handlerOf = (kind: ActKind): ActHandler<ActKind, object> => all[kind];
  const all = {
    ...placeActs,
    ...lineageActs,
    ...vatActs,
    ...caskRegisterActs,
    ...caskFillingActs,
    ...caskDrawingActs,
    ...caskWorkActs,
    ...stocktakeActs,
    ...planActs,
    ...recordActs,
    ...checkpointActs,
    ...bottlingActs,
    ...accountActs(journal),
    ...correctionActs(journal, handlerOf),
  } satisfies Record<ActKind, object>;
  made.set(journal, handlerOf);
  return handlerOf;
}
