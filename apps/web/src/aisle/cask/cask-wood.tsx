import type { CaskCard } from '@rundlet/contracts';
import { Card, Facts, format } from '../../kit/kit.ts';

const FIGURE_WORDS = {
  spheroid: 'a spheroid',
  'parabolic-spindle': 'a parabolic spindle',
  paraboloid: 'two paraboloids',
  cone: 'two cones',
} as const;

/** The vessel itself. */
export function CaskWood({ card: { cask, url } }: { card: CaskCard }) {
  const { cooperage, geometry } = cask;
  const optional = (name: string, value: string | null) =>
    value === null || value === '' ? null : ([name, value] as const);
  return (
    <Card title="The wood">
      <Facts
        facts={[
          ['Kind', `${cooperage.kind}, ${format.number(cooperage.nominalLitres)} L`],
          ['Wood', cooperage.woodSpecies],
          optional('Forest', cooperage.forest),
          cooperage.seasoningMonths === null
            ? null
            : ['Seasoned', format.count(cooperage.seasoningMonths, 'month')],
          optional('Toast', cooperage.toast),
          optional('Char', cooperage.char),
          ['Before it', cooperage.previousContents],
          optional('Cooper', cooperage.cooper),
          ['Fillings with spirit', format.number(cask.earlierFillings + cask.fillingsHere)],
          cask.capacityLitres === null ? null : ['Brim-full', format.litres(cask.capacityLitres)],
          cask.tareKg === null ? null : ['Tare', format.kilograms(cask.tareKg)],
          [
            'Bilge × head × length',
            `${format.number(geometry.bilgeDiameterMm)} × ${format.number(geometry.headDiameterMm)} × ${format.number(geometry.lengthMm)} mm, ${geometry.basis}`,
          ],
          [
            'Staves run as',
            typeof geometry.figure === 'string'
              ? FIGURE_WORDS[geometry.figure]
              : `fitted to a measured fill, fullness ${format.number(geometry.figure.fullness, 2)}`,
          ],
          cask.aliases.length > 0 ? ['Also answers to', cask.aliases.join(', ')] : null,
          optional('GS1 key (8004)', cask.giai),
          ['Address in its code', <span className="code small">{url}</span>],
        ]}
      />
    </Card>
  );
}
