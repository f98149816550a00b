export { EpcisDocument, EpcisEvent, type Quantity } from './events.ts';
export { Identifiers, ownIdentifier, type Named, type NameOf } from './names.ts';
export { documentOf, EVENT_KINDS, eventsOf, PREFIX, type Correction, type Told } from './write.ts';
export { readDocument, type ReadDocument } from './read.ts';
export { upstreamAct, type Taken, type Upstream } from './upstream.ts';
