import { parseScan } from '@rundlet/identifiers';

/**
 * What one picture says, each once: a label bears its code twice, in the QR code's address and in the bars. Where some are
 * codes of ours, whose check character is right, what else was read in the picture is left out.
 */
export function distinctTexts(texts: readonly string[]): { text: string; shown: string }[] {
  const read = texts.map((text) => {
    const { candidates, text: plain } = parseScan(text);
    const sure = candidates.find(({ assumption }) => assumption === undefined);
    return { text, shown: sure?.code ?? plain, ours: sure !== undefined };
  });
  const kept = read.some(({ ours }) => ours) ? read.filter(({ ours }) => ours) : read;
  return kept
    .filter(({ shown }, index) => kept.findIndex((other) => other.shown === shown) === index)
    .map(({ text, shown }) => ({ text, shown }));
}
