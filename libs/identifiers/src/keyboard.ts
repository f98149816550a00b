/**
 * A scanner that acts as a keyboard sends key positions, not characters. When scanner and computer are
 * set to different countries the text arrives garbled, but the garbling is one letter for one letter and can be undone.
 *
 * A layout is its two planes, plain and shifted, over the same 49 keys: digit row from the key left of 1, then
 * the three letter rows from left to right, with the key left of Enter after the second and the key right of
 * left Shift after that. Characters as in the xkeyboard-config layouts us, fr, be, de, ch, cz, it, es (basic); a dead
 * key stands for its spacing character; US boards have no key right of left Shift, `\0` keeps its place.
 */
interface Layout {
  readonly name: string;
  readonly plain: string;
  readonly shifted: string;
  readonly capsShiftsAll?: boolean;
}

const US: Layout = {
  name: 'US',
  plain: "`1234567890-=qwertyuiop[]asdfghjkl;'\\\0zxcvbnm,./",
  shifted: '~!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:"|\0ZXCVBNM<>?',
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

/** CAPS LOCK turns letters; on Windows with a French or Belgian layout it shifts every key. */
type CapsLock = 'off' | 'letters' | 'every key';

interface Undoing {
  readonly assumption: string;
  readonly undo: (character: string) => string;
}

const UNDOINGS: readonly Undoing[] = [
  ...OTHERS.map((layout) => undoing(`${layout.name} computer, US scanner`, layout, US)),
  ...OTHERS.map((layout) => undoing(`US computer, ${layout.name} scanner`, US, layout)),
  ...OTHERS.map((layout) => withCapsLock(layout, 'letters')),
  ...OTHERS.filter((layout) => layout.capsShiftsAll).map((layout) =>
    withCapsLock(layout, 'every key'),
  ),
];

/** Every text that a wrongly set scanner may have meant by `text`; those that change nothing are left out. */
export function undoKeyboard(text: string): readonly Reading[] {
  const seen = new Set([text]);
  const readings: Reading[] = [];
  for (const { assumption, undo } of UNDOINGS) {
    const meant = [...text].map(undo).join('');
    if (seen.has(meant)) continue;
    seen.add(meant);
    readings.push({ text: meant, assumption });
  }
  return readings;
}

function withCapsLock(layout: Layout, capsLock: CapsLock): Undoing {
  return undoing(`${layout.name} computer with CAPS LOCK, US scanner`, layout, US, capsLock);
}

function undoing(
  assumption: string,
  received: Layout,
  sent: Layout,
  capsLock: CapsLock = 'off',
): Undoing {
  const shift = capsLock === 'every key';
  const keys = new Map<string, string>();
  const add = (from: string, to: string): void => {
    for (let key = 0; key < from.length; key++)
      if (!keys.has(from.charAt(key))) keys.set(from.charAt(key), to.charAt(key));
  };
  add(received.plain, shift ? sent.shifted : sent.plain);
  add(received.shifted, shift ? sent.plain : sent.shifted);
  return {
    assumption,
    undo: (character) => {
      const turned = turnCase(character);
      const [likely, otherwise] =
        capsLock === 'letters' ? [turned, character] : [character, turned];
      return keys.get(likely) ?? keys.get(otherwise) ?? character;
    },
  };
}

function turnCase(character: string): string {
  const upper = character.toUpperCase();
  return character === upper ? character.toLowerCase() : upper;
}
