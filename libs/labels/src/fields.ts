/** Every field a template may name. Anything else is refused, so that a misspelt field does not print as a gap. */

export interface FieldDescription {
  readonly name: string;
  readonly kind: 'text' | 'number' | 'date' | 'code' | 'address';
  readonly meaning: string;
  readonly example: string | number;
}

const field = (
  name: string,
  kind: FieldDescription['kind'],
  example: string | number,
  meaning: string,
): FieldDescription => ({ name, kind, meaning, example });

export const FIELDS: readonly FieldDescription[] = [
  field('estateName', 'text', 'Harrow Point', 'who runs the place'),
  field('storeName', 'text', 'Low Store', 'the warehouse'),
  field('ownerName', 'text', 'Tern Reach Partners', 'who owns the cask or its contents'),
  field(
    'caution',
    'text',
    'No naked light, no ordinary phone where spirit vapour can gather.',
    'a sentence of warning the site wants on the label',
  ),
  field('printedOn', 'date', '2026-11-20', 'day of printing'),
  field('copyNumber', 'number', 2, 'which printing this is; absent on the first'),

  field('caskCode', 'code', 'C00006E4', 'the printed code, eight characters'),
  field(
    'caskUrl',
    'address',
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/C/C00006E4',
    'address of the cask’s card, upper case',
  ),
  field('giai', 'code', '9521321C00006E4', 'GS1 GIAI, when the estate has a company prefix'),
  field('caskKind', 'text', 'Hogshead', 'kind of cask'),
  field('nominalLitres', 'number', 250, 'nominal volume, L'),
  field('woodSpecies', 'text', 'Quercus petraea', 'wood'),
  field('seasoning', 'text', '36 months, yard', 'how the staves were seasoned'),
  field('toast', 'text', 'Medium toast', 'toast or char'),
  field('previousContents', 'text', 'Oloroso', 'what the cask held before'),
  field('cooperNumber', 'text', 'B-2219', 'the cooper’s own number'),
  field('ownerNumber', 'text', 'HP 84', 'the owner’s own number'),
  field('emptyWeightKg', 'number', 58.5, 'weight of the empty cask, kg'),

  field('fillingCode', 'text', 'F2026-114', 'the filling in its lineage'),
  field('fillingNumber', 'number', 1, 'first fill, second fill …'),
  field('filledOn', 'date', '2026-03-14', 'day of filling'),
  field('fillStrengthPercentVol', 'number', 63.5, 'strength at filling, % vol at 20 °C'),
  field('fillBulkLitresAt20C', 'number', 248.6, 'bulk litres at filling, at 20 °C'),
  field('fillLitresPureAlcohol', 'number', 157.9, 'litres of pure alcohol at filling'),
  field('spiritLot', 'text', 'L26-031', 'spirit lot'),
  field('spiritKind', 'text', 'Apple spirit', 'what the spirit is'),
  field('parcelCode', 'text', 'P26-07', 'parcel filled together'),
  field('grossWeightKg', 'number', 297, 'weight with contents, kg'),

  field('positionCode', 'code', 'P0000FAE', 'the position’s printed code'),
  field(
    'positionUrl',
    'address',
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/P/P0000FAE',
    'address of the position’s card',
  ),
  field('positionName', 'text', 'B 04 · 3', 'the position as the site names it'),
  field('zoneName', 'text', 'Ground floor', 'zone'),
  field('rowName', 'text', 'B', 'row'),
  field('bayName', 'text', '04', 'bay'),
  field('levelName', 'text', '3', 'level'),
  field('capacity', 'number', 1, 'casks the position holds'),

  field('sampleCode', 'code', 'S0001TW3', 'the sample’s printed code'),
  field(
    'sampleUrl',
    'address',
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/S/S0001TW3',
    'address of the sample’s card',
  ),
  field('sampledOn', 'date', '2026-11-20', 'day of sampling'),
  field('sampledBy', 'text', 'A. Weir', 'who drew it'),
  field('sampleVolumeMl', 'number', 50, 'volume drawn, mL'),
  field('sampleStrengthPercentVol', 'number', 61.2, 'strength of the sample, % vol at 20 °C'),
  field('samplePurpose', 'text', 'Quarterly nosing', 'what it is for'),

  field('vatCode', 'code', 'V000008D', 'the vat’s printed code'),
  field(
    'vatUrl',
    'address',
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/V/V000008D',
    'address of the vat’s card',
  ),
  field('vatName', 'text', 'Receiver 2', 'vat'),

  field('runCode', 'text', 'B26-07', 'code of the bottling run: its lot number'),
  field('runGtin', 'code', '09521321000018', 'GTIN of the bottle, where it has one'),
  field('runName', 'text', 'Shoreward, bottling 7', 'name of the bottling run'),
  field(
    'runUrl',
    'address',
    'HTTPS://CASKS.HARROWPOINT.EXAMPLE/01/09521321000018/10/B26-07',
    'address of the run’s public page: a GS1 Digital Link where the bottle has a GTIN',
  ),
  field('bottledOn', 'date', '2026-11-20', 'day of bottling'),
  field('bottleStrengthPercentVol', 'number', 46, 'strength in bottle, % vol'),
  field('bottleVolumeMl', 'number', 700, 'contents, mL'),
  field('bottleNumber', 'number', 118, 'number of this bottle'),
  field('bottleCount', 'number', 1240, 'bottles in the run'),
  field('youngestAgeYears', 'number', 5, 'age of the youngest spirit, whole years'),
  field('originLine', 'text', 'Longfield and Saltgate plots', 'a line about origin'),
];

const BY_NAME = new Map(FIELDS.map((description) => [description.name, description]));

export const findField = (name: string): FieldDescription | undefined => BY_NAME.get(name);

/** A site’s own fields are written `own.<name>`. */
export const isFieldName = (name: string): boolean =>
  BY_NAME.has(name) || /^own\.[a-z][A-Za-z0-9]*$/.test(name);

export type Fields = Readonly<Record<string, string | number | undefined>>;

/** A filled-in example of everything, for previews. */
export const EXAMPLE_FIELDS: Fields = Object.fromEntries(
  FIELDS.map(({ name, example }) => [name, example]),
);
