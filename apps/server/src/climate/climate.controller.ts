import { Controller } from '@nestjs/common';
import { api, type AnswerOf, type InputOf } from '@rundlet/contracts';
import type { Actor } from '../platform/actor.ts';
import { By, Input, Serves } from '../platform/endpoint-handler.ts';
import { ClimateImporter } from './climate-import.ts';

const { maturation } = api;

@Controller()
export class ClimateController {
  constructor(private readonly importer: ClimateImporter) {}

  @Serves(maturation.climate)
  view(
    @Input() { params, query }: InputOf<typeof maturation.climate>,
  ): Promise<AnswerOf<typeof maturation.climate>> {
    return this.importer.view(params.id, query);
  }

  @Serves(maturation.importClimate)
  import(
    @Input() { params, body }: InputOf<typeof maturation.importClimate>,
    @By() by: Actor,
  ): Promise<AnswerOf<typeof maturation.importClimate>> {
    return this.importer.import(params.id, body, by);
  }
}
