import { NumberField, TextField, type FieldErrors } from '../../kit/kit.ts';

export interface CooperageDraft {
  kind: string;
  nominalLitres: number | null;
  woodSpecies: string;
  forest: string;
  seasoningMonths: number | null;
  toast: string;
  char: string;
  previousContents: string;
  cooper: string;
  earlierFillings: number | null;
}
export const emptyCooperage: CooperageDraft = {
  kind: '',
  nominalLitres: null,
  woodSpecies: '',
  forest: '',
  seasoningMonths: null,
  toast: '',
  char: '',
  previousContents: '',
  cooper: '',
  earlierFillings: 0,
};
type TextKey = 'kind' | 'woodSpecies' | 'forest' | 'toast' | 'char' | 'previousContents' | 'cooper';
type NumberKey = Exclude<keyof CooperageDraft, TextKey>;

/** What is known of the wood. Lists offer what the estate has already. */
export function CooperageFields({
  draft,
  onChange,
  errors,
  kinds,
  woods,
  previous,
}: {
  draft: CooperageDraft;
  onChange: (draft: CooperageDraft) => void;
  errors: FieldErrors;
  kinds: readonly string[];
  woods: readonly string[];
  previous: readonly string[];
}) {
  const text = (key: TextKey, label: string, list?: string, hint?: string) => (
    <TextField
      label={label}
      {...(hint === undefined ? {} : { hint })}
      {...(list === undefined ? {} : { list })}
      value={draft[key]}
      onChange={(value) => {
        onChange({ ...draft, [key]: value });
      }}
      error={errors.at(`/cooperage/${key}`)}
    />
  );
  const number = (key: NumberKey, label: string, unit: string, pointer: string, hint?: string) => (
    <NumberField
      label={label}
      unit={unit}
      {...(hint === undefined ? {} : { hint })}
      value={draft[key]}
      onChange={(value) => {
        onChange({ ...draft, [key]: value });
      }}
      error={errors.at(pointer)}
    />
  );
  return (
    <>
      <Options id="kinds" values={kinds} />
      <Options id="woods" values={woods} />
      <Options id="previous" values={previous} />
      <div className="grid">
        {text('kind', 'Kind', 'kinds', 'Barrel, hogshead, barrique …')}
        {number('nominalLitres', 'Nominal size', 'L', '/cooperage/nominalLitres')}
        {text('woodSpecies', 'Wood', 'woods')}
        {text('previousContents', 'Before it', 'previous', '“new wood” if nothing')}
        {number('earlierFillings', 'Fillings with spirit so far', 'fillings', '/earlierFillings')}
        {text('toast', 'Toast')}
        {text('char', 'Char')}
        {text('forest', 'Forest')}
        {number('seasoningMonths', 'Seasoned', 'months', '/cooperage/seasoningMonths')}
        {text('cooper', 'Cooper')}
      </div>
    </>
  );
}

function Options({ id, values }: { id: string; values: readonly string[] }) {
  return (
    <datalist id={id}>
      {values.map((value) => (
        <option key={value} value={value} />
      ))}
    </datalist>
  );
}
