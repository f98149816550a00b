import { Module } from '@nestjs/common';
import { LabelFields } from './label-fields.ts';
import { LabelTemplates } from './label-templates.ts';
import { LabelsController } from './labels.controller.ts';

@Module({
  controllers: [LabelsController],
  providers: [LabelTemplates, LabelFields],
})
export class LabelsModule {}
