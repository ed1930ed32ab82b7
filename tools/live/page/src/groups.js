// The sections of the parameter table as a builder thinks of an engine. Every key of the table has one
// place here: sections of tables within tables stand where their parents do.

// title; tables: [path in the file, section, title, which keys (all without it)]
const isPort = (key) => key.startsWith('port_');
export const groups = [
  {
    id: 'engine',
    title: 'Engine',
    tables: [
      ['', '', 'The case', (key) => ['title', 'notes', 'invented', 'calibrated'].includes(key)],
      ['engine', 'engine', 'Cylinders, crank and firing order'],
      ['ambient', 'ambient', 'The air outside'],
      ['friction', 'friction', 'Friction'],
      ['cylinder_heat', 'cylinder_heat', 'Heat to the cylinder walls'],
    ],
  },
  {
    id: 'cam',
    title: 'Cam',
    tables: [
      ['cam', 'cam', 'Both valves, as the card has it'],
      ['exhaust_valve.cam', 'valve.cam', 'Exhaust lobe'],
      ['intake_valve.cam', 'valve.cam', 'Intake lobe'],
      ['exhaust_valve.lift_table', 'valve.lift_table', 'Exhaust lift as measured, instead of the card'],
      ['intake_valve.lift_table', 'valve.lift_table', 'Intake lift as measured, instead of the card'],
    ],
  },
  {
    id: 'head',
    title: 'Head',
    tables: [
      ['exhaust_valve', 'valve', 'Exhaust valve'],
      ['exhaust_valve.flow', 'valve.flow', 'Exhaust port on the flow bench'],
      ['intake_valve', 'valve', 'Intake valve'],
      ['intake_valve.flow', 'valve.flow', 'Intake port on the flow bench'],
      ['exhaust', 'exhaust', 'Exhaust port in the head', isPort],
    ],
  },
  { id: 'induction', title: 'Induction', tables: [['intake', 'intake', 'Runners, plenum, throttle and air box']] },
  { id: 'fuel', title: 'Fuel', tables: [['combustion', 'combustion', 'Fuel and burning']] },
  {
    id: 'headers',
    title: 'Headers',
    tables: [
      ['header', 'header', 'The header in hand'],
      ['exhaust', 'exhaust', 'What all headers share', (key) => !isPort(key)],
      ['build', 'build', 'How exactly it will be made'],
    ],
  },
  {
    id: 'speeds',
    title: 'Speeds',
    tables: [
      ['run', 'run', 'Speeds, grid and convergence'],
      ['tune', 'tune', 'What may change, and what fits the car'],
      ['dyno', 'dyno', 'Measured pulls'],
      ['sound', 'sound', 'Where the exhaust is heard'],
    ],
  },
];
