// What a phone page loads, as one file that `npm run build` makes of these modules. No module below does anything by being
// imported, but for the two that every page of the workshop has; so their order does not matter.
import "#shop/app.js";
import "./leave.js";
import { startGuided } from "./guided.js";
import { startOutboxPage } from "./outbox_page.js";
import { startPad } from "./pad.js";
import { startPages } from "./pages.js";
import { startSheet } from "./sheet.js";

startSheet();
startGuided();
startPad(); // the sheets have said which fields are for the pad
startOutboxPage();
startPages();

export * as outbox from "./outbox.js"; // whoever loads the file again by its address gets the same outbox
