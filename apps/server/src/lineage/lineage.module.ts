import { Module } from '@nestjs/common';
import { LineageController } from './lineage.controller.ts';
import { OriginsOf } from './origins.ts';
import { Recall } from './recall.ts';

@Module({
  controllers: [LineageController],
  providers: [OriginsOf, Recall],
  exports: [OriginsOf],
})
export class LineageModule {}
