import type { AisleCask } from '../../data/aisle-index.ts';
import { CodeText, Mark } from '../../kit/kit.ts';
import type { Counted } from './counted.ts';

/** What the book has at the position you are at. */
export function ExpectedHere({
  casks,
  counted,
}: {
  casks: readonly AisleCask[];
  counted: readonly Counted[];
}) {
  return (
    <div>
      <h3>By the book here</h3>
      {casks.length === 0 && <p className="soft">Nothing stands here by the book.</p>}
      <ul className="bare-list stack-tight">
        {casks.map((cask) => (
          <li key={cask.id} className="line-spread">
            <CodeText code={cask.code} />
            {counted.some(({ key }) => key === cask.id) ? (
              <Mark tone="good">counted</Mark>
            ) : (
              <Mark icon="wait">to find</Mark>
            )}
          </li>
        ))}
      </ul>
    </div>
  );
}
