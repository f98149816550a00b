/** An American standard barrel of which nothing in particular is known, for estates whose casks do not matter singly. */
export const PLAIN_BARREL = {
  cooperage: {
    kind: 'barrel',
    nominalLitres: 200,
    woodSpecies: 'Quercus alba',
    forest: null,
    seasoningMonths: null,
    toast: null,
    char: null,
    previousContents: 'none',
    cooper: null,
    cooperLot: null,
  },
  geometry: {
    figure: 'parabolic-spindle',
    bilgeDiameterMm: 640,
    headDiameterMm: 540,
    lengthMm: 830,
    basis: 'assumed',
  },
} as const;
