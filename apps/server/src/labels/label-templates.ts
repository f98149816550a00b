import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Injectable, type OnModuleInit } from '@nestjs/common';
import type { LabelTemplateInfo } from '@rundlet/contracts';
import { parseTemplate, type Template } from '@rundlet/labels';
import sql from 'sql-template-tag';
import { Records } from '../database/records.ts';
import { NotFound } from '../platform/refusals.ts';

type Subject = LabelTemplateInfo['subject'];
interface Known {
  readonly template: Template;
  readonly subject: Subject;
  readonly own: boolean;
  readonly json: unknown;
}
/** What a spare label has: its code and what follows from it. */
const SPARE_FIELDS = new Set(['caskCode', 'caskUrl', 'estateName', 'printedOn', 'giai']);

/** The templates in the folder `label-templates`, and those saved by the site, which win over those of the same name. */
@Injectable()
export class LabelTemplates implements OnModuleInit {
  readonly #shipped = new Map<string, Known>();

  constructor(private readonly records: Records) {}

  onModuleInit(): void {
    const folder = shippedFolder();
    if (folder === null) return;
    for (const file of readdirSync(folder).filter((name) => name.endsWith('.json')))
      this.#shipped.set(
        file.slice(0, -'.json'.length),
        known(JSON.parse(readFileSync(join(folder, file), 'utf8')), false),
      );
  }

  async list(): Promise<{ rows: LabelTemplateInfo[]; faulty: { id: string; problem: string }[] }> {
    const { templates, faulty } = await this.#all();
    const rows = [...templates].map(([id, { template, subject, own }]) => ({
      id,
      name: template.name,
      subject,
      widthMm: template.widthMm,
      heightMm: template.heightMm,
      medium: template.sheet ? ('sheet' as const) : ('roll' as const),
      perSheet: template.sheet ? template.sheet.columns * template.sheet.rows : 1,
      columns: template.sheet?.columns ?? 1,
      description: template.description,
      spare: subject === 'cask' && template.requires.every((field) => SPARE_FIELDS.has(field)),
      own,
    }));
    return { rows: rows.sort((a, b) => (a.id < b.id ? -1 : 1)), faulty };
  }

  /** @throws NotFound */
  async need(id: string): Promise<Known> {
    const { templates } = await this.#all();
    const found = templates.get(id);
    if (!found)
      throw new NotFound(
        `There is no label template "${id}"; there are ${[...templates.keys()].join(', ')}.`,
      );
    return found;
  }

  async #all(): Promise<{
    templates: Map<string, Known>;
    faulty: { id: string; problem: string }[];
  }> {
    const templates = new Map(this.#shipped);
    const faulty: { id: string; problem: string }[] = [];
    for (const { id, template } of await this.records.where('label-template', sql`1 = 1`))
      if (template !== null)
        try {
          templates.set(id, known(template, true));
        } catch (error) {
          faulty.push({ id, problem: (error as Error).message });
        }
    return { templates, faulty };
  }
}

/** @throws Error naming every problem */
function known(json: unknown, own: boolean): Known {
  const result = parseTemplate(json);
  if (result.status === 'invalid')
    throw new Error(result.problems.map((p) => `${p.path} ${p.message}`).join('; '));
  return { template: result.template, subject: result.template.subject, own, json };
}

/** The folder at the root of the program, from wherever in it this module was built to. */
function shippedFolder(): string | null {
  for (let at = dirname(fileURLToPath(import.meta.url)); at !== dirname(at); at = dirname(at)) {
    const folder = join(at, 'label-templates');
    if (existsSync(folder)) return folder;
  }
  return null;
}
