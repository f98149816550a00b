export { canonicalJson, inCanonicalOrder } from './canonical.ts';
export { PublicKey, thumbprint } from './jwk.ts';
export {
  checkStatement,
  signStatement,
  unverifiedPayload,
  type Checked,
  type Signer,
} from './jws.ts';
export {
  BOTTLING_FACTS,
  BottlingFact,
  BottlingStatement,
  BottlingStory,
  WAYS_STEPS,
  type WaysStep,
} from './bottling.ts';
export {
  checkCheckpoint,
  Checkpoint,
  checkpointLetter,
  statementIn,
  type CheckedCheckpoint,
} from './checkpoint.ts';
