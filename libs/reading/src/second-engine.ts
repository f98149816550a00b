/** The second look: zxing-cpp compiled to WebAssembly (npm zxing-wasm), handed in as a started module. */
import type { FoundCode, Format, Point } from './code.ts';
import type { Luminance } from './picture.ts';

/** The part of zxing-wasm's module that is used: what `prepareZXingModule({ overrides, fireImmediately: true })` resolves to. */
export interface ZxingModule {
  readonly HEAPU8: Uint8Array;
  _malloc(bytes: number): number;
  _free(pointer: number): void;
  readBarcodesFromPixmap(
    pointer: number,
    width: number,
    height: number,
    options: never,
  ): ZxingResults;
}

interface ZxingResults {
  size(): number;
  get(index: number): ZxingResult | undefined;
  delete?(): void;
}

interface ZxingResult {
  readonly isValid: boolean;
  readonly format: string;
  readonly text: string;
  readonly symbologyIdentifier: string;
  readonly position: {
    readonly topLeft: Point;
    readonly topRight: Point;
    readonly bottomRight: Point;
    readonly bottomLeft: Point;
  };
}

export interface SecondEngine {
  read(picture: Luminance, formats: readonly Format[], denoise: boolean): FoundCode[];
}

const NAMES: Record<Format, string> = {
  qr: 'QRCode',
  code128: 'Code128',
  code39: 'Code39',
  datamatrix: 'DataMatrix',
  itf: 'ITF',
  ean13: 'EAN13',
};

/** Text comes in `Plain` mode: the default would put brackets into GS1 data. */
const PLAIN = 0;
const LOCAL_AVERAGE = 0;

export function secondEngine(module: ZxingModule): SecondEngine {
  return {
    read({ data, width, height }, formats, denoise) {
      const pointer = module._malloc(data.length);
      if (pointer === 0)
        throw new RangeError(`No memory for a picture of ${width} × ${height}: shrink it first.`);
      try {
        module.HEAPU8.set(data, pointer);
        const options = optionsFor(formats, denoise) as never;
        const results = module.readBarcodesFromPixmap(pointer, width, height, options);
        const codes: FoundCode[] = [];
        for (let index = 0; index < results.size(); index++) {
          const code = toCode(results.get(index));
          if (code) codes.push(code);
        }
        results.delete?.();
        return codes;
      } finally {
        module._free(pointer);
      }
    },
  };
}

function toCode(result: ZxingResult | undefined): FoundCode | undefined {
  if (!result?.isValid) return undefined;
  const format = formatOf(result.format);
  if (!format) return undefined;
  const { topLeft, topRight, bottomRight, bottomLeft } = result.position;
  return {
    text: result.text,
    format,
    symbologyIdentifier: result.symbologyIdentifier,
    corners: [topLeft, topRight, bottomRight, bottomLeft].map(({ x, y }) => ({ x, y })),
    engine: 'second',
  };
}

const formatOf = (name: string): Format | undefined =>
  (Object.keys(NAMES) as Format[]).find((format) => name.startsWith(NAMES[format]));

const optionsFor = (formats: readonly Format[], denoise: boolean): object => ({
  formats: formats.map((format) => NAMES[format]).join(','),
  tryHarder: true,
  tryRotate: true,
  tryInvert: true,
  tryDownscale: true,
  tryDenoise: denoise,
  binarizer: LOCAL_AVERAGE,
  isPure: false,
  downscaleThreshold: 500,
  downscaleFactor: 3,
  minLineCount: 2,
  maxNumberOfSymbols: 32,
  validateOptionalChecksum: false,
  returnErrors: false,
  eanAddOnSymbol: 0,
  textMode: PLAIN,
  characterSet: 0,
  tryCode39ExtendedMode: false,
});
