import { highsSolver } from '@rundlet/blending';
import loadHighs from 'highs';

// The package is CommonJS: its types say the default export is one level down, Node and Vite hand it over directly.
export const solver = highsSolver(await (loadHighs as unknown as typeof loadHighs.default)());
export const clock = (): number => performance.now() / 1000;
