/**
 * The general formula of OIML R 22 (1973), "International alcoholometric tables":
 *
 *     rho(p, t) = A1 + sum A_k p^(k-1) + sum B_k (t-20)^k + sum sum C_ik p^k (t-20)^i
 *
 * At one temperature it is a polynomial of degree 11 in the mass fraction p. Collapsing it first, each
 * coefficient by Horner's rule in (t - 20), costs 42 multiplications where a sum of powers needs several
 * hundred, and lets a whole stock at one temperature, or an inversion, pay that once.
 */
export type Isotherm = readonly [
  c0: number,
  c1: number,
  c2: number,
  c3: number,
  c4: number,
  c5: number,
  c6: number,
  c7: number,
  c8: number,
  c9: number,
  c10: number,
  c11: number,
];

/** The polynomial in p of the formula at `temperatureC`; the caller has checked the range. */
export function isothermAt(temperatureC: number): Isotherm {
  const T = temperatureC - 20;
  // One line per power of p: A_(k+1) + C_1k T + C_2k T^2 + ... ; the first line holds the B_k (water).
  return [
    998.20123 +
      T *
        (-0.20618513 +
          T *
            (-0.0052682542 +
              T * (3.6130013e-5 + T * (-3.8957702e-7 + T * (7.169354e-9 + T * -9.9739231e-11))))),
    -192.9769495 +
      T *
        (0.1693443461530087 +
          T *
            (-0.0119301300505701 +
              T *
                (-0.0006802995733503803 + T * (4.075376675622027e-6 + T * -2.788074354782409e-8)))),
    389.1238958 +
      T *
        (-10.46914743455169 +
          T *
            (0.2517399633803461 +
              T * (0.01876837790289664 + T * (-8.76305857347111e-6 + T * 1.345612883493354e-8)))),
    -1668.103923 +
      T *
        (71.96353469546523 +
          T * (-2.170575700536993 + T * (-0.2002561813734156 + T * 6.515031360099368e-6))),
    13522.15441 +
      T *
        (-704.7478054272792 +
          T * (13.53034988843029 + T * (1.02299296671922 + T * -1.51578483698721e-6))),
    -88292.78388 + T * (3924.090430035045 + T * (-50.29988758547014 + T * -2.895696483903638)),
    306287.4042 + T * (-12101.64659068747 + T * (109.635566657757 + T * 4.810060584300675)),
    -613838.1234 + T * (22486.46550400788 + T * (-142.2753946421155 + T * -4.672147440794683)),
    747017.2998 + T * (-26055.62982188164 + T * (108.043594285623 + T * 2.458043105903461)),
    -547846.1354 + T * (18523.73922069467 + T * (-44.14153236817392 + T * -0.5411227621436812)),
    223446.0334 + T * (-7420.201433430137 + T * 7.442971530188783),
    -39032.85426 + T * 1285.617841998974,
  ];
}

/** Density, kg/m³, on an isotherm at mass fraction `p`. */
export function densityOn(c: Isotherm, p: number): number {
  let rho = c[11];
  rho = rho * p + c[10];
  rho = rho * p + c[9];
  rho = rho * p + c[8];
  rho = rho * p + c[7];
  rho = rho * p + c[6];
  rho = rho * p + c[5];
  rho = rho * p + c[4];
  rho = rho * p + c[3];
  rho = rho * p + c[2];
  rho = rho * p + c[1];
  return rho * p + c[0];
}

/** Slope of density in mass fraction, kg/m³, on an isotherm at mass fraction `p`. */
export function densitySlopeOn(c: Isotherm, p: number): number {
  let slope = 11 * c[11];
  slope = slope * p + 10 * c[10];
  slope = slope * p + 9 * c[9];
  slope = slope * p + 8 * c[8];
  slope = slope * p + 7 * c[7];
  slope = slope * p + 6 * c[6];
  slope = slope * p + 5 * c[5];
  slope = slope * p + 4 * c[4];
  slope = slope * p + 3 * c[3];
  slope = slope * p + 2 * c[2];
  return slope * p + c[1];
}

/**
 * Volume of ethanol in 100 volumes of the mixture, both at the isotherm's temperature; `atEthanol` is the
 * density of pure ethanol on it. The last bits of the polynomial must not carry it past 100.
 */
export function percentVolOn(c: Isotherm, atEthanol: number, p: number): number {
  return Math.min(100, (100 * (p * densityOn(c, p))) / atEthanol);
}
