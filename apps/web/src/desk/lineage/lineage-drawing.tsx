import type { LineageGraph } from '@rundlet/contracts';
import { useMemo } from 'react';
import { Link } from 'wouter';
import { format } from '../../kit/kit.ts';
import { BOX, layOut, type Box, type Tie } from './layout.ts';
import './lineage.css';

/** From plots at the left to the vessel at the right; a ribbon is as thick as the share of ethanol it carries. */
export function LineageDrawing({ graph }: { graph: LineageGraph }) {
  const { boxes, ties, width, height } = useMemo(() => layOut(graph), [graph]);
  return (
    <div
      className="lineage-frame"
      tabIndex={0}
      role="region"
      aria-label="Drawing of the origins; the table below says the same"
    >
      <svg
        className="lineage"
        width={width}
        height={height}
        viewBox={`0 0 ${String(width)} ${String(height)}`}
        aria-hidden="true"
      >
        {ties.map((tie) => (
          <path
            key={`${tie.from.key}>${tie.to.key}`}
            d={ribbon(tie)}
            strokeWidth={Math.max(1, tie.share * 26)}
          />
        ))}
        {boxes.map((box) => (
          <BoxDrawing key={box.key} box={box} />
        ))}
      </svg>
    </div>
  );
}

function BoxDrawing({ box }: { box: Box }) {
  const title = box.node ? box.node.name || box.node.code : `and ${String(box.gathered)} more`;
  return (
    <g transform={`translate(${String(box.x)} ${String(box.y)})`}>
      <rect width={BOX.width} height={BOX.height} rx="5" />
      <rect
        className="lineage-share"
        width={Math.max(2, BOX.width * Math.min(1, box.share))}
        height="4"
        y={BOX.height - 4}
      />
      <text x="8" y="18">
        {cut(title, 24)}
      </text>
      <text className="lineage-detail" x="8" y="34">
        {cut(box.node && box.node.name ? box.node.code : '', 16)} {format.percent(box.share, 1)}
      </text>
    </g>
  );
}

function ribbon({ from, to }: Tie): string {
  const [x1, y1, x2, y2] = [
    from.x + BOX.width,
    from.y + BOX.height / 2,
    to.x,
    to.y + BOX.height / 2,
  ];
  const middle = (x1 + x2) / 2;
  return `M${String(x1)} ${String(y1)}C${String(middle)} ${String(y1)} ${String(middle)} ${String(y2)} ${String(x2)} ${String(y2)}`;
}

const cut = (text: string, most: number): string =>
  text.length > most ? `${text.slice(0, most - 1)}…` : text;

export function recallLink(kind: string, id: string, code: string) {
  return ['plot', 'harvest-lot', 'ferment', 'still-run', 'spirit-lot'].includes(kind) ? (
    <Link href={`/recall/${kind}/${id}`}>{code}</Link>
  ) : (
    code
  );
}
