// Changes a part of the page into its new self in place, so that focus, selection, scroll and what is being typed stay.

export function morph(old, html) {
  const made = new DOMParser().parseFromString(html, "text/html").body.firstElementChild;
  if (!made) return;
  change(old, made);
}

function change(old, made) {
  if (old.nodeType !== made.nodeType || old.nodeName !== made.nodeName || (old.id || "") !== (made.id || "")) {
    old.replaceWith(document.importNode(made, true));
    return;
  }
  if (made.nodeType === Node.ELEMENT_NODE && made.hasAttribute("data-part")) return; // a part within comes on its own
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== made.nodeValue) old.nodeValue = made.nodeValue;
    return;
  }
  if (old.hasAttribute("data-mounted") && made.dataset.scene) { // a view in the round draws itself; it only has to know its scene
    if (old.dataset.scene !== made.dataset.scene) old.dataset.scene = made.dataset.scene;
    return;
  }
  if (old.isEqualNode(made) && !("value" in old)) return;
  attributes(old, made);
  values(old, made);
  if (old.tagName !== "TEXTAREA") children(old, made);
}

function attributes(old, made) {
  for (const { name } of [...old.attributes]) if (!made.hasAttribute(name) && !own(old, name)) old.removeAttribute(name);
  if (old.hasAttribute("tabindex") && !made.hasAttribute("tabindex") && old.namespaceURI !== "http://www.w3.org/1999/xhtml") old.removeAttribute("tabindex"); // a mark that cannot be pressed any more
  for (const { name, value } of made.attributes) if (old.getAttribute(name) !== value) old.setAttribute(name, value);
}

// What the page itself has put on an element, which the server knows nothing of.
function own(element, name) {
  return name === "style" || name === "data-dirty" || name === "data-pending" || name === "data-last" || name === "data-mounted" || name === "tabindex" || (name === "open" && element.tagName === "DETAILS");
}

// What is in a blank: the server's value, unless something of its owner's is in it that the server has not answered yet.
function values(old, made) {
  if (old.tagName === "INPUT" && (old.type === "checkbox")) {
    old.checked = made.hasAttribute("checked");
  } else if (old.tagName === "INPUT") {
    if (!old.dataset.dirty && !old.dataset.pending) {
      const value = made.getAttribute("value") ?? "";
      if (old.value !== value) old.value = value;
    }
  } else if (old.tagName === "SELECT") {
    const chosen = [...made.options].find((one) => one.hasAttribute("selected"));
    if (chosen && (document.activeElement !== old || old.dataset.pick)) queueMicrotask(() => { old.value = chosen.value; });
  } else if (old.tagName === "TEXTAREA" && !old.dataset.dirty && old.value !== made.value) {
    old.value = made.value;
  }
}

// Whether a node without a name can become another: one kind of block never becomes another kind.
function alike(old, made) {
  return old.nodeName === made.nodeName && !old.id && !made.id && (old.nodeName !== "DIV" || old.classList[0] === made.classList[0]);
}

function children(old, made) {
  const named = new Map();
  for (const child of old.children) if (child.id) named.set(child.id, child);
  let at = old.firstChild;
  for (const next of [...made.childNodes]) {
    const same = next.id ? named.get(next.id) : null;
    if (!same && at && !alike(at, next)) { // what stood here may be gone: what stands behind it comes up, and keeps what is being typed in it
      const behind = at.nextElementSibling;
      if (at.nodeType === Node.ELEMENT_NODE && !at.id && behind && alike(behind, next)) while (at !== behind) { const gone = at; at = at.nextSibling; gone.remove(); }
    }
    if (same) {
      if (same !== at) old.insertBefore(same, at);
      else at = at.nextSibling;
      change(same, next);
    } else if (at && alike(at, next)) {
      const now = at;
      at = at.nextSibling;
      change(now, next);
    } else {
      old.insertBefore(document.importNode(next, true), at);
    }
  }
  while (at) {
    const gone = at;
    at = at.nextSibling;
    gone.remove();
  }
}
