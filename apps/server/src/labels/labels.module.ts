import { Module } from '@nestjs/common';
import { LineageModule } from '../lineage/lineage.module.ts';
import { LabelFields } from './label-fields.ts';
import { LabelOrders } from './label-orders.ts';
import { LabelRuns } from './label-runs.ts';
import { LabelTemplates } from './label-templates.ts';
import { LabelsController } from './labels.controller.ts';

@Module({
  imports: [LineageModule],
  controllers: [LabelsController],
  providers: [LabelTemplates, LabelFields, LabelOrders, LabelRuns],
})
export class LabelsModule {}
