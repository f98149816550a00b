import { TextField } from '../../kit/kit.ts';
import type { StepChoices } from './use-step-choices.ts';

/** Finds what a list does not offer because it is too old. */
export function StepSearch({ choices }: { choices: StepChoices }) {
  if (!choices.more && choices.find === '') return null;
  return (
    <TextField
      label="Find by its code"
      hint={
        choices.find !== '' && choices.none
          ? 'No code has these letters in it'
          : 'The list offers the newest; with part of a code it offers those that have it'
      }
      type="search"
      value={choices.find}
      onChange={choices.setFind}
    />
  );
}
