import { Inject, Injectable } from '@nestjs/common';
import type { InputOf, api } from '@rundlet/contracts';
import { caskUrl, checkCaskCode, makeGiai } from '@rundlet/identifiers';
import type { Fields } from '@rundlet/labels';
import { Records } from '../database/records.ts';
import { Clock } from '../platform/clock.ts';
import { Refusal } from '../platform/refusals.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';
import { LabelFields } from './label-fields.ts';
import { LabelTemplates } from './label-templates.ts';
import { unmoved, type Printing, type RenderOrder } from './render-labels.ts';

type Body = InputOf<typeof api.labels.render>['body'];

/** From what was asked for to what the worker draws: template, fields of each label, printer. */
@Injectable()
export class LabelOrders {
  constructor(
    private readonly templates: LabelTemplates,
    private readonly fields: LabelFields,
    private readonly records: Records,
    private readonly clock: Clock,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** @throws NotFound, Refusal */
  async of(body: Body): Promise<RenderOrder> {
    const { template, subject } = await this.templates.need(body.templateId);
    const { templateId, format, startPosition, outline, language } = body;
    const places = template.sheet ? template.sheet.columns * template.sheet.rows : 1;
    if (startPosition > places)
      throw new Refusal(
        422,
        'no-such-place',
        template.sheet
          ? `${template.sheet.name} has places 1 to ${String(places)}.`
          : 'Labels on a roll have no place to start at; leave it at 1.',
      );
    if (body.spareCodes.length > 0 && subject !== 'cask')
      throw new Refusal(
        422,
        'no-such-spare',
        'Spare labels are for casks; choose a cask template.',
      );
    const fields = [
      ...(body.subjectIds.length > 0 ? await this.fields.of(subject, body.subjectIds) : []),
      ...body.spareCodes.map((code) => this.#spare(code)),
    ];
    const names = fields.map((of) =>
      String(
        of['sampleCode'] ??
          of['caskCode'] ??
          of['positionCode'] ??
          of['vatCode'] ??
          of['runName'] ??
          'label',
      ),
    );
    const printing = await this.printing(body.printerId, body.dpi);
    return {
      template,
      templateId,
      format,
      startPosition,
      outline,
      language,
      fields,
      names,
      printing,
    };
  }

  /** @throws NotFound */
  async printing(printerId: string | null, dpi: Printing['dpi']): Promise<Printing> {
    return printerId === null ? unmoved(dpi) : this.records.need('printer', printerId);
  }

  #spare(text: string): Fields {
    const check = checkCaskCode(text);
    if (check.status !== 'ok')
      throw new Refusal(422, 'wrong-check-character', `${text} is not a cask code.`);
    const { companyPrefix, estateName } = this.settings;
    const origin = originOf(this.settings);
    // The key that the cask gets when it is registered under this code.
    const giai = companyPrefix === null ? undefined : makeGiai(companyPrefix, check.code);
    return {
      estateName,
      printedOn: this.clock.instant().slice(0, 10),
      caskCode: check.code,
      caskUrl: caskUrl(giai === undefined ? { origin, code: check.code } : { origin, giai }),
      giai,
    };
  }
}
