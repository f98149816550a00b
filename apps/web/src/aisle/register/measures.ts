/** What was measured of a cask's wood while the form is being filled in, and what it comes to. */
import type { BodyOf, CaskGeometry } from '@rundlet/contracts';
import { calibrateToFill, capacityLitres, typicalGeometry } from '@rundlet/gauging';

type Measures = Pick<BodyOf<'cask.measure'>, 'geometry' | 'capacityLitres' | 'tareKg'>;
type NamedFigure = Extract<CaskGeometry['figure'], string>;

export interface MeasuresDraft {
  /** `fitted`: by a fill that was metered or weighed in, and the dip it showed. */
  figure: NamedFigure | 'fitted';
  bilgeMm: number | null;
  headMm: number | null;
  lengthMm: number | null;
  fillLitres: number | null;
  fillWetDipMm: number | null;
  capacityLitres: number | null;
  tareKg: number | null;
}

export const emptyMeasures: MeasuresDraft = {
  figure: 'parabolic-spindle',
  bilgeMm: null,
  headMm: null,
  lengthMm: null,
  fillLitres: null,
  fillWetDipMm: null,
  capacityLitres: null,
  tareKg: null,
};

/** The draft that a cask's own measures make; assumed lengths are left out, for nobody took them. */
export function measuresDraft(measures: Measures): MeasuresDraft {
  const { geometry, capacityLitres: brimFull, tareKg } = measures;
  const measured = geometry.basis === 'measured';
  return {
    ...emptyMeasures,
    capacityLitres: brimFull,
    tareKg,
    ...(measured && {
      bilgeMm: geometry.bilgeDiameterMm,
      headMm: geometry.headDiameterMm,
      lengthMm: geometry.lengthMm,
    }),
    ...(measured && typeof geometry.figure === 'string' && { figure: geometry.figure }),
  };
}

export type Worked =
  | { readonly status: 'ready'; readonly geometry: CaskGeometry; readonly litres: number }
  /** Nothing was measured: lengths of ordinary proportions stand in. */
  | { readonly status: 'assumed'; readonly geometry: CaskGeometry }
  | { readonly status: 'incomplete' }
  | { readonly status: 'impossible'; readonly message: string };

/** The geometry a draft comes to, and the litres it gives brim-full. */
export function workOut(draft: MeasuresDraft, nominalLitres: number | null): Worked {
  const { bilgeMm, headMm, lengthMm } = draft;
  if (bilgeMm === null && headMm === null && lengthMm === null)
    return nominalLitres === null ? { status: 'incomplete' } : assumed(nominalLitres);
  if (bilgeMm === null || headMm === null || lengthMm === null) return { status: 'incomplete' };
  const lengths = { bilgeDiameterMm: bilgeMm, headDiameterMm: headMm, lengthMm };
  try {
    if (draft.figure !== 'fitted') return ready({ figure: draft.figure, ...lengths });
    const { fillLitres: litres, fillWetDipMm: wetDipMm } = draft;
    if (litres === null || wetDipMm === null) return { status: 'incomplete' };
    const start = { figure: 'spheroid', ...lengths } as const;
    const fit = calibrateToFill({ geometry: start, orientation: 'lying', wetDipMm, litres });
    if (fit.status === 'fitted') return ready({ figure: fit.geometry.figure, ...lengths });
    return {
      status: 'impossible',
      message: `No figure of these lengths holds ${litres.toFixed(1)} L at that dip: from ${fit.leastLitres.toFixed(1)} to ${fit.mostLitres.toFixed(1)} L could be. Check lengths, dip and fill.`,
    };
  } catch (error) {
    if (error instanceof RangeError) return { status: 'impossible', message: error.message };
    throw error;
  }
}

function ready(geometry: Omit<CaskGeometry, 'basis'>): Worked {
  return {
    status: 'ready',
    geometry: { ...geometry, basis: 'measured' },
    litres: capacityLitres(geometry),
  };
}

/** Lengths of an ordinary cask of that size, to whole millimetres; the card says that they are assumed. */
function assumed(nominalLitres: number): Worked {
  try {
    const { bilgeDiameterMm, headDiameterMm, lengthMm } = typicalGeometry(nominalLitres);
    return {
      status: 'assumed',
      geometry: {
        figure: 'parabolic-spindle',
        bilgeDiameterMm: Math.round(bilgeDiameterMm),
        headDiameterMm: Math.round(headDiameterMm),
        lengthMm: Math.round(lengthMm),
        basis: 'assumed',
      },
    };
  } catch (error) {
    if (error instanceof RangeError) return { status: 'impossible', message: error.message };
    throw error;
  }
}
