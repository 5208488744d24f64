import "./icon.css";

// Every drawing is made for this program on a grid of 24, one weight of line, no fill.
const drawings = {
  today: ["M9 5h11", "M9 12h11", "M9 19h11", "M4.5 3.5v3", "M3.2 12h2.6", "M3.2 19h2.6"],
  cards: ["M4 8h12v12H4z", "M8 8V4h12v12h-4"],
  waiting: ["M4 14v6h16v-6", "M12 15V4", "M8 8l4-4 4 4"],
  person: ["M12 12a4 4 0 1 0 0-8 4 4 0 0 0 0 8z", "M4.5 20.5c1.2-4 4-5.5 7.5-5.5s6.3 1.5 7.5 5.5"],
  about: ["M12 21a9 9 0 1 0 0-18 9 9 0 0 0 0 18z", "M12 11v6", "M12 7.2v.1"],
  back: ["M15 5l-7 7 7 7"],
  forward: ["M9 5l7 7-7 7"],
  down: ["M5 9l7 7 7-7"],
  up: ["M5 15l7-7 7 7"],
  plus: ["M12 5v14", "M5 12h14"],
  minus: ["M5 12h14"],
  tick: ["M5 12.5l4.5 4.5L19 7"],
  cross: ["M6 6l12 12", "M18 6L6 18"],
  caution: ["M12 3.5L22 20.5H2z", "M12 10v4.5", "M12 17.3v.1"],
  stop: ["M8 2.8h8L21.2 8v8L16 21.2H8L2.8 16V8z", "M12 7.5v5.5", "M12 16.3v.1"],
  question: ["M12 21a9 9 0 1 0 0-18 9 9 0 0 0 0 18z", "M9.3 9.5c.2-1.6 1.3-2.5 2.7-2.5 1.6 0 2.8 1 2.8 2.5 0 2-2.8 2.3-2.8 4.3", "M12 16.9v.1"],
  undo: ["M8 5L4 9l4 4", "M4 9h10a5.5 5.5 0 0 1 0 11h-4"],
  search: ["M10.5 17a6.5 6.5 0 1 0 0-13 6.5 6.5 0 0 0 0 13z", "M15.5 15.5L21 21"],
  edit: ["M4 20l1-4.5L16 4.5l3.5 3.5L8.5 19z", "M13.5 7l3.5 3.5"],
  history: ["M12 21a9 9 0 1 0-8.5-6", "M3 20v-5h5", "M12 7.5V12l3.5 2"],
  machine: ["M3 5h18v11H3z", "M8 20h8", "M12 16v4", "M7 12.5v-2", "M11 12.5V8", "M15 12.5v-3"],
  drop: ["M12 3c3.5 4.5 6 7.5 6 11a6 6 0 0 1-12 0c0-3.5 2.5-6.5 6-11z"],
  tray: ["M3 9h18l-2 9H5z", "M8 9l1-4", "M15 9V4"],
  aloud: ["M4 10v4h3.5l4.5 4V6L7.5 10z", "M16 9c1.5 1.7 1.5 4.3 0 6", "M18.8 6.5c3 3 3 8 0 11"],
  branch: ["M6 3v6c0 4 4 3 6 5s2 3 2 7", "M18 3v5c0 3-2.5 3.5-5 5"],
  sun: ["M12 16a4 4 0 1 0 0-8 4 4 0 0 0 0 8z", "M12 2.5v2", "M12 19.5v2", "M2.5 12h2", "M19.5 12h2", "M5.3 5.3l1.4 1.4", "M17.3 17.3l1.4 1.4", "M5.3 18.7l1.4-1.4", "M17.3 6.7l1.4-1.4"],
  moon: ["M20 14.5A8.5 8.5 0 0 1 9.5 4 8.5 8.5 0 1 0 20 14.5z"],
  nonetwork: ["M3 9.5c5.5-4.5 12.5-4.5 18 0", "M7 14c3-2.3 7-2.3 10 0", "M12 18.5v.1", "M4 21L20 3"],
  sent: ["M4 14v6h16v-6", "M7.5 8.5L11 12l6.5-7"],
  save: ["M4 14v6h16v-6", "M12 4v11", "M8 11l4 4 4-4"],
  print: ["M7 8V3.5h10V8", "M4 8h16v8h-3", "M7 16H4V8", "M7 13.5h10v7H7z"],
  eye: ["M2.5 12c2.5-4.5 5.8-6.5 9.5-6.5s7 2 9.5 6.5c-2.5 4.5-5.8 6.5-9.5 6.5S5 16.5 2.5 12z", "M12 15a3 3 0 1 0 0-6 3 3 0 0 0 0 6z"],
} as const;

export type IconName = keyof typeof drawings;

/** A drawing beside words. With `label` it speaks for itself; without, it is hidden from screen readers. */
export function Icon({ name, label, large }: { name: IconName; label?: string; large?: boolean }) {
  return (
    <svg class={large ? "icon icon-large" : "icon"} viewBox="0 0 24 24" role={label ? "img" : undefined}
      aria-label={label} aria-hidden={label ? undefined : "true"} focusable="false">
      {drawings[name].map((d) => <path key={d} d={d} />)}
    </svg>
  );
}

/** The mark: the lens face-on, and the notch at two o'clock where the second instrument enters. */
export function Mark() {
  return (
    <svg class="mark" viewBox="0 0 64 64" aria-hidden="true" focusable="false">
      <path class="mark-ring" d="M45.52 13.39A23 23 0 1 0 54.87 29.6" />
      <path class="mark-port" d="M43.26 25.5L58.85 16.5" />
    </svg>
  );
}
