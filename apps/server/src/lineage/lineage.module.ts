import { Module } from '@nestjs/common';
import { LineageController } from './lineage.controller.ts';
import { Links } from './links.ts';
import { OriginsOf } from './origins.ts';
import { Recall } from './recall.ts';

@Module({
  controllers: [LineageController],
  providers: [Links, OriginsOf, Recall],
  exports: [OriginsOf],
})
export class LineageModule {}
