import { Notice } from '../kit/surface.tsx';

/** The sentences that stand where the work they concern is done. The site's own rules go before them. */
export const VapourCaution = () => (
  <Notice tone="caution">
    Spirit vapour burns and explodes: ordinary phones, scanners and printers may not be allowed in a
    classified area. Follow the site’s risk assessment and local codes.
  </Notice>
);

export const VatCaution = () => (
  <Notice tone="caution">
    Vats and receivers are confined spaces and carbon dioxide gathers low in them: nobody enters or
    leans in without the site’s permit, test and watch.
  </Notice>
);

export const WeightCaution = () => (
  <Notice tone="caution">
    A full hogshead weighs about 300 kg: move it with the equipment and the people the site’s rules
    ask for.
  </Notice>
);

export const FillingCaution = () => (
  <Notice tone="caution">
    Filling and emptying set vapour free: no flame, spark or ordinary electrics near, and local
    codes and licensed practice go before anything shown here.
  </Notice>
);
