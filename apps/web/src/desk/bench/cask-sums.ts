/** Sums on a cask's inside lengths, for one that is not in the stock. */
import { capacityLitres, dipForContents, GAUGING_SOURCES, innerAreaM2 } from '@rundlet/gauging';
import { benchSum } from './bench-sum.ts';

const LENGTHS = {
  bilgeDiameterMm: { label: 'Bilge diameter inside', unit: 'mm' },
  headDiameterMm: { label: 'Head diameter inside', unit: 'mm' },
  lengthMm: { label: 'Length inside', unit: 'mm' },
} as const;

export const caskSums = {
  capacity: benchSum({
    label: 'Cask: litres by its lengths',
    inputs: LENGTHS,
    source: `${GAUGING_SOURCES.capacity}; each figure’s own answer is shown`,
    work(lengths) {
      const of = (figure: 'spheroid' | 'parabolic-spindle' | 'paraboloid' | 'cone') =>
        capacityLitres({ figure, ...lengths });
      return [
        { label: 'Spindle, the usual cask', value: of('parabolic-spindle'), unit: 'L' },
        { label: 'Spheroid, very full', value: of('spheroid'), unit: 'L' },
        { label: 'Two paraboloids', value: of('paraboloid'), unit: 'L' },
        { label: 'Two cones', value: of('cone'), unit: 'L' },
        {
          label: 'Inner area',
          value: innerAreaM2({ figure: 'parabolic-spindle', ...lengths }),
          unit: 'm²',
          decimals: 2,
          note: 'of the spindle',
        },
      ];
    },
  }),
  dip: benchSum({
    label: 'Cask: dip to expect',
    inputs: { ...LENGTHS, litres: { label: 'Contents', unit: 'L', hint: 'As they stand in it' } },
    source: GAUGING_SOURCES.dip,
    work({ litres, ...lengths }) {
      const geometry = { figure: 'parabolic-spindle', ...lengths } as const;
      const lying = dipForContents(geometry, 'lying', litres);
      const standing = dipForContents(geometry, 'standing', litres);
      return [
        { label: 'Wet dip, lying', value: lying.wetDipMm, unit: 'mm' },
        { label: 'Dry dip, lying', value: lying.dryDipMm, unit: 'mm' },
        { label: 'Wet dip, standing', value: standing.wetDipMm, unit: 'mm' },
      ];
    },
  }),
};
