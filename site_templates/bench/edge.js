/* A shape moved onto the edges nearby: shown, and taken only by a key. */
import { ask, desk, draft, refuse, say, state } from "./desk.js";
import { askAbout } from "./answer.js";
import { choicesShown } from "./choose.js";
import { kindNow } from "./known.js";
import { redraw } from "./paint.js";
import { settled } from "./save.js";

var stamp = 0;

function asked(now, shape) {
  return PortalDraft.isLine(now) ? Object.assign(kindNow(), { drawn: "by hand", points: PortalShapes.write(shape.points) })
    : PortalDraft.data(now).shapes.pop();
}
export async function findEdge() {
  var now, shape, of, told;
  if (!PortalDraft.hasEdges(draft()) || !(await settled())) { return; }
  now = draft();
  shape = now.shapes[now.shapes.length - 1];
  of = desk.picture.key;
  if (!shape || !PortalShapes.complete(shape) || now.open >= 0) { return; }
  try { told = await ask("/api/edges", { number: stamp += 1, picture: of, shown: desk.picture.shown, shape: asked(now, shape) }); }
  catch (error) { refuse(error); return; }
  if (desk.picture.key !== of || draft() !== now) { return; }
  state("", told.found ? say("edge_offer", { said: told.said }) : told.said);
  if (!told.found) { return; }
  PortalShapes.lists(told.shape).forEach(function (list) { told.shape[list] = PortalShapes.read(told.shape[list]); });
  desk.offer = Object.assign({}, now, { shapes: now.shapes.slice(0, -1).concat([told.shape]) });
  redraw();
  choicesShown();
  document.querySelector(".tools").scrollLeft = 0;  /* to where it is taken or left */
  askAbout();
}
