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

// validatorUrl: the page's own contract is checked by the project's tests, not by a foreign host.
window.ui = SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#contract",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  persistAuthorization: false,
  plugins: [PicturesOfDrawings],
  tryItOutEnabled: true,
  validatorUrl: null,
});
