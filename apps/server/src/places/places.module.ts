import { Module } from '@nestjs/common';
import { LineageModule } from '../lineage/lineage.module.ts';
import { OverviewOf } from './overview.ts';
import { PlacesController } from './places.controller.ts';
import { Putaway } from './putaway.ts';
import { Stores } from './stores.ts';
import { Walking } from './walking.ts';
import { ZoneMap } from './zone-map.ts';

@Module({
  imports: [LineageModule],
  controllers: [PlacesController],
  providers: [OverviewOf, Putaway, Stores, Walking, ZoneMap],
})
export class PlacesModule {}
