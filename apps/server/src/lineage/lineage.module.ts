import { Module } from '@nestjs/common';
import { LineageController } from './lineage.controller.ts';
import { Links } from './links.ts';
import { OriginsOf } from './origins.ts';
import { Recall } from './recall.ts';
import { Steps } from './steps.ts';

@Module({
  controllers: [LineageController],
  providers: [Steps, Links, OriginsOf, Recall],
  exports: [OriginsOf],
})
export class LineageModule {}
