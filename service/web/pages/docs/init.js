"use strict";

// The page itself shows an SVG's text. Drawings are there to be looked at, so this shows them as pictures.
function PicturesOfDrawings() {
  return {
    wrapComponents: {
      responseBody: (Original, system) => (properties) => {
        if (!/^image\/svg/.test(properties.contentType || "") || !properties.content) {
          return system.React.createElement(Original, properties);
        }
        const drawing = new Blob([properties.content], { type: "image/svg+xml" });
        return system.React.createElement("img", {
          alt: "the drawing that was answered",
          className: "lathwind-drawing",
          src: URL.createObjectURL(drawing),
        });
      },
    },
  };
}

// The page itself gives each operation the example's body. A body that somebody wrote goes on to every operation that takes
// the same, so that the sheet is of the opening whose figures were asked for. `bodies` has the operations by their body.
function OneBodyForAll(bodies) {
  const written = new Map(); // by the type of the body, so that operations that are opened later have it too
  let choosing = false; // whether somebody is choosing an example just now: that one is then meant
  const chooses = (event) => {
    if (!event.target.closest?.(".examples-select")) return;
    choosing = true;
    setTimeout(() => (choosing = false));
  };
  document.addEventListener("change", chooses, { capture: true });
  return {
    statePlugins: {
      oas3: {
        wrapActions: {
          setRequestBodyValue: (original) => (change) => {
            const [path, method] = change.pathMethod;
            const kind = bodies.kindOf(path, method);
            if (!kind || typeof change.value !== "string") return original(change);
            if (choosing || !bodies.isExample(kind, change.value)) written.set(kind, change.value);
            const value = written.get(kind) ?? change.value;
            for (const pathMethod of bodies.like(kind)) {
              if (written.has(kind) && pathMethod.join() !== change.pathMethod.join()) original({ value, pathMethod });
            }
            return original({ ...change, value });
          },
        },
      },
    },
  };
}

function bodiesOf(contract) {
  const kinds = new Map();
  const examples = new Map();
  for (const [path, operations] of Object.entries(contract.paths)) {
    for (const [method, operation] of Object.entries(operations)) {
      const json = operation.requestBody?.content["application/json"];
      const kind = json?.schema.$ref;
      if (!kind) continue;
      kinds.set(kind, [...(kinds.get(kind) ?? []), [path, method]]);
      const texts = Object.values(json.examples ?? {}).map((example) => JSON.stringify(example.value));
      examples.set(kind, new Set([...(examples.get(kind) ?? []), ...texts]));
    }
  }
  return {
    kindOf: (path, method) => contract.paths[path]?.[method]?.requestBody?.content["application/json"]?.schema.$ref,
    like: (kind) => kinds.get(kind),
    isExample(kind, text) {
      try {
        return (examples.get(kind) ?? new Set()).has(JSON.stringify(JSON.parse(text)));
      } catch {
        return false;
      }
    },
  };
}

// The contract says for every service that keys may be asked for. This one has said whether it asks: no padlocks where it
// does not, and none at operations that never ask.
function withoutNeedlessPadlocks(contract, keys) {
  for (const operation of Object.values(contract.paths).flatMap((one) => Object.values(one))) {
    if (!keys || operation.security.every((one) => Object.keys(one).length === 0)) delete operation.security;
  }
  if (!keys) delete contract.components.securitySchemes;
}

// Tables and streams are bytes for generated clients; here people look at them and change them.
function withTextsToEdit(contract) {
  for (const operation of Object.values(contract.paths).flatMap((one) => Object.values(one))) {
    for (const [type, media] of Object.entries(operation.requestBody?.content ?? {})) {
      if (/^text\/|ndjson$/.test(type) && media.schema.format === "binary") delete media.schema.format;
    }
  }
}

// An operation may answer a dozen problems. Here their words are enough: a picture of each one's JSON takes a second to draw.
function withProblemsInWords(contract) {
  for (const response of Object.values(contract.components.responses)) delete response.content;
}

// The packaged page leaves some of its controls without a name for screen readers.
function nameControls() {
  for (const control of document.querySelectorAll("#contract :is(textarea, select, button, input):not([aria-label])")) {
    const parameter = control.closest("[data-param-name]")?.dataset.paramName;
    if (control.matches("textarea")) control.setAttribute("aria-label", "Request body");
    else if (control.closest(".copy-to-clipboard")) control.setAttribute("aria-label", "Copy");
    else if (control.matches(".examples-select select")) control.setAttribute("aria-label", "Example");
    else if (control.matches("select, input") && parameter) control.setAttribute("aria-label", parameter);
  }
}

async function start() {
  new MutationObserver(nameControls).observe(document.getElementById("contract"), { childList: true, subtree: true });
  const contract = await (await fetch("/openapi.json")).json();
  withTextsToEdit(contract);
  withProblemsInWords(contract);
  withoutNeedlessPadlocks(contract, document.documentElement.dataset.keys === "yes");
  // validatorUrl: the page's own contract is checked by the project's tests, not by a foreign host.
  window.ui = SwaggerUIBundle({
    spec: contract,
    dom_id: "#contract",
    deepLinking: true,
    docExpansion: "list",
    defaultModelsExpandDepth: 0,
    displayRequestDuration: true,
    persistAuthorization: false,
    plugins: [PicturesOfDrawings, () => OneBodyForAll(bodiesOf(contract))],
    syntaxHighlight: { activated: false },
  tryItOutEnabled: true,
    validatorUrl: null,
  });
}

start();
