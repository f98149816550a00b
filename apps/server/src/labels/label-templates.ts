import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Inject, Injectable, type OnModuleInit } from '@nestjs/common';
import type { LabelTemplateInfo } from '@rundlet/contracts';
import { parseTemplate, type Template } from '@rundlet/labels';
import { Log } from '../platform/log.ts';
import { NotFound } from '../platform/refusals.ts';
import { SETTINGS, type Settings } from '../platform/settings.ts';

type Subject = LabelTemplateInfo['subject'];
/** What each subject of the template format is to the rest of the program; vats have no label prints in the journal yet. */
const SUBJECTS: Partial<Record<Template['subject'], Subject>> = {
  cask: 'cask',
  position: 'position',
  sample: 'sample',
  'bottling-run': 'blend',
};

/** The templates in `label-templates`, and the site's own in its data folder, which win over those of the same name. */
@Injectable()
export class LabelTemplates implements OnModuleInit {
  readonly #templates = new Map<string, { template: Template; subject: Subject }>();

  constructor(
    private readonly log: Log,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  onModuleInit(): void {
    this.#read(shippedFolder());
    this.#read(join(this.settings.dataFolder, 'label-templates'));
  }

  list(): LabelTemplateInfo[] {
    return [...this.#templates].map(([id, { template, subject }]) => ({
      id,
      name: template.name,
      subject,
      widthMm: template.widthMm,
      heightMm: template.heightMm,
      medium: template.sheet ? 'sheet' : 'roll',
      perSheet: template.sheet ? template.sheet.columns * template.sheet.rows : 1,
      description: template.description,
    }));
  }

  /** @throws NotFound */
  need(id: string): { template: Template; subject: Subject } {
    const found = this.#templates.get(id);
    if (!found)
      throw new NotFound(
        `There is no label template "${id}"; there are ${[...this.#templates.keys()].join(', ')}.`,
      );
    return found;
  }

  #read(folder: string | null): void {
    if (folder === null || !existsSync(folder)) return;
    for (const file of readdirSync(folder)
      .filter((name) => name.endsWith('.json'))
      .sort())
      try {
        this.#add(file.slice(0, -'.json'.length), readFileSync(join(folder, file), 'utf8'));
      } catch (error) {
        this.log.failure('a label template was left out', error, { file: join(folder, file) });
      }
  }

  #add(id: string, text: string): void {
    const result = parseTemplate(JSON.parse(text));
    if (result.status === 'invalid')
      throw new Error(result.problems.map((p) => `${p.path} ${p.message}`).join('; '));
    const subject = SUBJECTS[result.template.subject];
    if (!subject)
      throw new Error(`Labels of a ${result.template.subject} can't be printed from here.`);
    this.#templates.set(id, { template: result.template, subject });
  }
}

/** The folder at the root of the program, from wherever in it this module was built to. */
function shippedFolder(): string | null {
  for (let at = dirname(fileURLToPath(import.meta.url)); at !== dirname(at); at = dirname(at)) {
    const folder = join(at, 'label-templates');
    if (existsSync(folder)) return folder;
  }
  return null;
}
