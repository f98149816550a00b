/** Everything a screen is made of. */
import './tokens.css';
import './base.css';

export * from './button.tsx';
export * from './choice-fields.tsx';
export * from './code-field.tsx';
export * from './field.tsx';
export * from './figure.tsx';
export * from './icon.tsx';
export * from './number-field.tsx';
export * from './problem.ts';
export * from './states.tsx';
export * from './surface.tsx';
export * from './table.tsx';
export * from './text-fields.tsx';
export * as format from './format.ts';
