// A button that opens the case of this page in the live page, which is packed within it: nothing is
// fetched, so that it works from a mail or a memory stick as the page itself does.
import { strFromU8, unzlibSync } from 'fflate';
import { withCase } from './case_in_page.js';
import { make } from './dom.js';
import { study } from './study.js';

// The live page with a case in it, as a document.
function livePage(packed, name, text) {
  const letters = atob(packed);
  const bytes = Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
  return withCase(strFromU8(unzlibSync(bytes)), name, text);
}

// Null where this page has none.
export function liveButton() {
  if (!study.live_page) return null;
  const open = () => {
    const name = study.case_file ?? 'case.toml';
    const page = livePage(study.live_page, name, study.case_text);
    // Kept for as long as this page is open: a reload of the other one asks for it again.
    window.open(URL.createObjectURL(new Blob([page], { type: 'text/html' })), '_blank');
  };
  return make(
    'div',
    { class: 'buttons' },
    make('button', { type: 'button', id: 'open-live', title: 'Change lengths, tubes and engine of this case and see torque move, in this browser', onclick: open }, 'Try changes in the live page')
  );
}
