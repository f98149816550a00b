export { checkCharacter, hasRightCheckCharacter } from './check-character.ts';
export {
  CODE_ALPHABET,
  CODE_CAPACITY,
  CODE_KINDS,
  CODE_LENGTH,
  checkCaskCode,
  checkCode,
  displayCode,
  makeCaskCode,
  makeCode,
  makePositionCode,
  makeSampleCode,
  makeVatCode,
  normaliseCode,
  type CaskCodeCheck,
  type CodeCheck,
  type CodeKind,
} from './code.ts';
export { caskUrl, codeUrl, isQrAlphanumeric, type Identity } from './address.ts';
export {
  checkGiai,
  checkGln,
  checkGrai,
  checkGtin,
  checkSscc,
  gs1CheckDigit,
  makeGiai,
  makeGrai,
  type KeyCheck,
} from './gs1-key.ts';
export { bracketed, GS, parseElements, type Element, type ElementsResult } from './gs1-elements.ts';
export {
  buildDigitalLink,
  canonicalDigitalLink,
  parseDigitalLink,
  type DigitalLinkResult,
} from './digital-link.ts';
export { undoKeyboard, type Reading } from './keyboard.ts';
export {
  parseScan,
  type Candidate,
  type Scan,
  type ScanOptions,
  type ScanProblem,
  type Wrapping,
} from './scan.ts';
export { nearestCodes, type NearCode } from './nearest.ts';
