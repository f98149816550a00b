import type { PickRow, PickStop } from '@rundlet/contracts';
import { byName } from '@rundlet/domain';
import '../../aisle/map/rack.css';

/** The row a pick list leads through, seen from the front: its casks by their place in the walk. */
export function PickMap({
  row,
  picks,
  numberOf,
}: {
  row: PickRow;
  picks: readonly PickStop[];
  numberOf: (pick: PickStop) => number;
}) {
  const byPosition = new Map<string, PickStop[]>();
  for (const pick of picks)
    if (pick.positionId !== null)
      byPosition.set(pick.positionId, [...(byPosition.get(pick.positionId) ?? []), pick]);
  const bays = distinct(row.positions.map(({ bay }) => bay));
  const levels = distinct(row.positions.map(({ level }) => level)).reverse();
  return (
    <div
      className="table-frame rack"
      tabIndex={0}
      role="region"
      aria-label={`${row.store}, ${row.zone}, row ${row.row} from the front`}
    >
      <table>
        <caption className="visually-hidden">Row {row.row} from the front</caption>
        <thead>
          <tr>
            <th scope="col">level</th>
            {bays.map((bay) => (
              <th key={bay} scope="col">
                {bay}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {levels.map((level) => (
            <tr key={level}>
              <th scope="row">{level}</th>
              {bays.map((bay) => (
                <td key={bay}>
                  <span className="slots">
                    {row.positions
                      .filter((p) => p.bay === bay && p.level === level)
                      .sort((a, b) => byName(a.slot, b.slot))
                      .map((position) => {
                        const here = byPosition.get(position.id);
                        const [first] = here ?? [];
                        if (!first)
                          return (
                            <span
                              key={position.id}
                              className={position.occupied ? 'slot slot-taken' : 'slot'}
                              aria-hidden="true"
                            />
                          );
                        return (
                          <span
                            key={position.id}
                            className={`slot slot-pick${here?.every((p) => p.drawn || p.outAt !== null) ? ' slot-picked' : ''}`}
                            title={here?.map((p) => p.caskCode).join(', ')}
                          >
                            {numberOf(first)}
                          </span>
                        );
                      })}
                  </span>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

const distinct = (names: readonly string[]): string[] => [...new Set(names)].sort(byName);
