export { FORMATS, type Format, type FoundCode, type Point } from './code.ts';
export type { Picture } from './picture.ts';
export { readCodes, type Reading, type ReadOptions } from './read.ts';
export { secondEngine, type SecondEngine, type ZxingModule } from './second-engine.ts';
