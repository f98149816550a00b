/**
 * A scanner that acts as a keyboard sends key positions, not characters. When scanner and computer are
 * set to different countries the text arrives garbled, but the garbling is one letter for one letter and can be undone.
 *
 * A layout is its two planes, plain and shifted, over the same 49 keys: digit row from the key left of 1, then
 * the three letter rows from left to right, with the key left of Enter after the second and the key right of
 * left Shift after that. Characters as in the xkeyboard-config layouts us, fr, be, de, ch, cz, it, es (basic); a dead
 * key stands for its spacing character.
 */
interface Layout {
  readonly name: string;
  readonly plain: string;
  readonly shifted: string;
  /** CAPS LOCK works on every key, not on letters alone (Windows, French and Belgian). */
  readonly capsShiftsAll?: boolean;
}

const US: Layout = {
  name: 'US',
  plain: "`1234567890-=qwertyuiop[]asdfghjkl;'\\<zxcvbnm,./",
  shifted: '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"|>ZXCVBNM<>?',
};

const OTHERS: readonly Layout[] = [
  {
    name: 'AZERTY (French)',
    plain: '²&é"\'(-è_çà)=azertyuiop^$qsdfghjklmù*<wxcvbn,;:!',
    shifted: '²1234567890°+AZERTYUIOP¨£QSDFGHJKLM%µ>WXCVBN?./§',
    capsShiftsAll: true,
  },
  {
    name: 'QWERTZ (German)',
    plain: '^1234567890ß´qwertzuiopü+asdfghjklöä#<yxcvbnm,.-',
    shifted: '°!"§$%&/()=?`QWERTZUIOPÜ*ASDFGHJKLÖÄ\'>YXCVBNM;:_',
  },
  {
    name: 'AZERTY (Belgian)',
    plain: '²&é"\'(§è!çà)-azertyuiop^$qsdfghjklmùµ<wxcvbn,;:=',
    shifted: '³1234567890°_AZERTYUIOP¨*QSDFGHJKLM%£>WXCVBN?./+',
    capsShiftsAll: true,
  },
  {
    name: 'QWERTZ (Swiss)',
    plain: "§1234567890'^qwertzuiopü¨asdfghjklöä$<yxcvbnm,.-",
    shifted: '°+"*ç%&/()=?`QWERTZUIOPè!ASDFGHJKLéà£>YXCVBNM;:_',
  },
  {
    name: 'QWERTZ (Czech)',
    plain: ';+ěščřžýáíé=´qwertzuiopú)asdfghjklů§¨\\yxcvbnm,.-',
    shifted: '°1234567890%ˇQWERTZUIOP/(ASDFGHJKL"!\'|YXCVBNM?:_',
  },
  {
    name: 'QWERTY (Italian)',
    plain: "\\1234567890'ìqwertyuiopè+asdfghjklòàù<zxcvbnm,.-",
    shifted: '|!"£$%&/()=?^QWERTYUIOPé*ASDFGHJKLç°§>ZXCVBNM;:_',
  },
  {
    name: 'QWERTY (Spanish)',
    plain: "º1234567890'¡qwertyuiop`+asdfghjklñ´ç<zxcvbnm,.-",
    shifted: 'ª!"·$%&/()=?¿QWERTYUIOP^*ASDFGHJKLÑ¨Ç>ZXCVBNM;:_',
  },
];

export interface Reading {
  readonly text: string;
  /** What was assumed, for the person who sets up the scanner: `AZERTY (French) computer, US scanner`. */
  readonly assumption: string;
}

interface Undoing {
  readonly assumption: string;
  readonly map: ReadonlyMap<string, string>;
}

const UNDOINGS: readonly Undoing[] = [
  ...OTHERS.map((layout) => undoing(`${layout.name} computer, US scanner`, layout, US)),
  ...OTHERS.filter((layout) => layout.capsShiftsAll).map((layout) =>
    undoing(`${layout.name} computer with CAPS LOCK, US scanner`, layout, US, true),
  ),
  ...OTHERS.map((layout) => undoing(`US computer, ${layout.name} scanner`, US, layout)),
];

/** Every text that a wrongly set scanner may have meant by `text`; those that change nothing are left out. */
export function undoKeyboard(text: string): readonly Reading[] {
  const seen = new Set([text]);
  const readings: Reading[] = [];
  for (const { assumption, map } of UNDOINGS) {
    const meant = [...text].map((character) => map.get(character) ?? character).join('');
    if (seen.has(meant)) continue;
    seen.add(meant);
    readings.push({ text: meant, assumption });
  }
  return readings;
}

function undoing(assumption: string, received: Layout, sent: Layout, caps = false): Undoing {
  const map = new Map<string, string>();
  const add = (from: string, to: string): void => {
    for (let key = 0; key < from.length; key++)
      if (!map.has(from.charAt(key))) map.set(from.charAt(key), to.charAt(key));
  };
  add(received.plain, caps ? sent.shifted : sent.plain);
  add(received.shifted, caps ? sent.plain : sent.shifted);
  return { assumption, map };
}
