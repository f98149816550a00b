export * from './errors.ts';
export * from './journal/ports.ts';
export { monthAfter, monthsBetween } from './account/months.ts';
export {
  againstAllowances,
  gaugedMgYears,
  type AgainstAllowance,
  type MonthFigures,
} from './account/allowances.ts';
export { estimateDuty, type DutyEstimate } from './account/duty.ts';
export * from './account/words.ts';
export { addUp, isOfAccount, lineKey, sumOf } from './account/sums.ts';
export {
  canonicalJson,
  entryHash,
  GENESIS_HASH,
  sha256Hex,
  asStored,
  entryOf,
  storedForm,
  storedHash,
  type StoredEntry,
  type Sha256Hex,
} from './journal/seal.ts';
export {
  submitAct,
  rehearseAct,
  prepareAct,
  type Prepared,
  type SubmitContext,
  type Submitted,
} from './journal/submit.ts';
export { attachmentsOf, type AttachmentLookup } from './journal/attachments.ts';
export { releaseHeld } from './journal/release.ts';
export { foldEntry } from './journal/refold.ts';
export { verifyJournal, type Fail, type StoredRecord, type VerifyInput } from './journal/verify.ts';
export { isReversible } from './journal/corrections.ts';
export { MemoryJournal, MemoryRecords, inputsOf, type TextShelf } from './journal/memory.ts';
export { ageDays, daysBetween, instantMs } from './acts/checks.ts';
export { publicKeyOf, type Succession } from './acts/checkpoints.ts';
export { CLOCK_SLACK_MS, isRunning, needsResolution } from './stocktake/lines.ts';
export { mostWrong, sampleFor } from './stocktake/sampling.ts';
export {
  add,
  contentOf,
  EMPTY,
  ethanolMg,
  figuresOf,
  isEmpty,
  liquidOf,
  litresPureAlcoholOfMg,
  lotShares,
  part,
} from './liquid/content.ts';
export {
  harvestSharesOfRun,
  heartsMgOf,
  NEXT_STEP,
  receivedOf,
  type StepsBefore,
} from './lineage/step-checks.ts';
export {
  ethanolKgOf,
  mostEthanolKg,
  RECEIPT_TOLERANCE,
  YIELD_TOLERANCE,
} from './lineage/yields.ts';
export { wordsOf } from './lineage/graph.ts';
export { blendShares, type Shares } from './lineage/shares.ts';
export { castOf, traceLineage, type LineageReader } from './lineage/trace.ts';
export { spreadOf, type LiquidEntry, type SpreadReader } from './lineage/spread.ts';
export { followLineage, type FillingsOfLot, type FollowReader } from './lineage/follow.ts';
export { stowWords } from './stow/words.ts';
export { byName, rowKey, rowsOf, type Stand } from './stow/row.ts';
export { liftsOf, toShift } from './stow/to-shift.ts';
export {
  suggestPositions,
  type PutawayWish,
  type Stowed,
  type SuggestedPosition,
} from './stow/suggest.ts';
export { describeIntent } from './history/intent.ts';
export { describeEntry, FACT_WORDS, type NameOf } from './history/describe.ts';
