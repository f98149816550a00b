/**
 * The general formula of OIML R 22 (1973), "International alcoholometric tables":
 *
 *     rho(p, t) = A1 + sum A_k p^(k-1) + sum B_k (t-20)^k + sum sum C_ik p^k (t-20)^i
 *
 * At one temperature it is a polynomial of degree 11 in the mass fraction p. Collapsing it first, each
 * coefficient by Horner's rule in (t - 20), costs 42 multiplications where a sum of powers needs several
 * hundred, and lets a whole stock at one temperature, or an inversion, pay that once.
 */
export type Isotherm = { readonly [power in Power]: number };
type Power = 0 | 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8 | 9 | 10 | 11;
type Coefficients = { [power in Power]: number };

/** Room for the twelve coefficients, as unboxed doubles. */
export function isothermRoom(): Coefficients {
  return new Float64Array(12) as unknown as Coefficients;
}

/**
 * The polynomial in p of the formula at `temperatureC`; the caller has checked the range.
 *
 * @param into where the coefficients go; a new place by default
 */
export function isothermAt(temperatureC: number, into: Coefficients = isothermRoom()): Isotherm {
  const T = temperatureC - 20;
  // One line per power of p: A_(k+1) + C_1k T + C_2k T^2 + ... ; the first line holds the B_k (water).
  into[0] =
    998.20123 +
    T *
      (-0.20618513 +
        T *
          (-0.0052682542 +
            T * (3.6130013e-5 + T * (-3.8957702e-7 + T * (7.169354e-9 + T * -9.9739231e-11)))));
  into[1] =
    -192.9769495 +
    T *
      (0.1693443461530087 +
        T *
          (-0.0119301300505701 +
            T * (-0.0006802995733503803 + T * (4.075376675622027e-6 + T * -2.788074354782409e-8))));
  into[2] =
    389.1238958 +
    T *
      (-10.46914743455169 +
        T *
          (0.2517399633803461 +
            T * (0.01876837790289664 + T * (-8.76305857347111e-6 + T * 1.345612883493354e-8))));
  into[3] =
    -1668.103923 +
    T *
      (71.96353469546523 +
        T * (-2.170575700536993 + T * (-0.2002561813734156 + T * 6.515031360099368e-6)));
  into[4] =
    13522.15441 +
    T *
      (-704.7478054272792 +
        T * (13.53034988843029 + T * (1.02299296671922 + T * -1.51578483698721e-6)));
  into[5] =
    -88292.78388 + T * (3924.090430035045 + T * (-50.29988758547014 + T * -2.895696483903638));
  into[6] = 306287.4042 + T * (-12101.64659068747 + T * (109.635566657757 + T * 4.810060584300675));
  into[7] =
    -613838.1234 + T * (22486.46550400788 + T * (-142.2753946421155 + T * -4.672147440794683));
  into[8] = 747017.2998 + T * (-26055.62982188164 + T * (108.043594285623 + T * 2.458043105903461));
  into[9] =
    -547846.1354 + T * (18523.73922069467 + T * (-44.14153236817392 + T * -0.5411227621436812));
  into[10] = 223446.0334 + T * (-7420.201433430137 + T * 7.442971530188783);
  into[11] = -39032.85426 + T * 1285.617841998974;
  return into;
}

const PASSING = isothermRoom();

/**
 * {@link isothermAt} for use at once, in the same place every time: the next call overwrites it. A scalar
 * function that evaluates and returns need not leave twelve numbers to the garbage collector.
 */
export function passingIsothermAt(temperatureC: number): Isotherm {
  return isothermAt(temperatureC, PASSING);
}

/** Density, kg/m³, on an isotherm at mass fraction `p`. */
export function densityOn(c: Isotherm, p: number): number {
  const p2 = p * p;
  const p4 = p2 * p2;
  const low = c[0] + c[1] * p + (c[2] + c[3] * p) * p2;
  const middle = c[4] + c[5] * p + (c[6] + c[7] * p) * p2;
  const high = c[8] + c[9] * p + (c[10] + c[11] * p) * p2;
  return low + (middle + high * p4) * p4;
}

/** Slope of density in mass fraction, kg/m³, on an isotherm at mass fraction `p`. */
export function densitySlopeOn(c: Isotherm, p: number): number {
  const p2 = p * p;
  const p4 = p2 * p2;
  const low = c[1] + 2 * c[2] * p + (3 * c[3] + 4 * c[4] * p) * p2;
  const middle = 5 * c[5] + 6 * c[6] * p + (7 * c[7] + 8 * c[8] * p) * p2;
  const high = 9 * c[9] + 10 * c[10] * p + 11 * c[11] * p2;
  return low + (middle + high * p4) * p4;
}

/**
 * Volume of ethanol in 100 volumes of the mixture, both at the isotherm's temperature; `atEthanol` is the
 * density of pure ethanol on it. The last bits of the polynomial must not carry it past 100.
 */
export function percentVolOn(c: Isotherm, atEthanol: number, p: number): number {
  return Math.min(100, (100 * (p * densityOn(c, p))) / atEthanol);
}
