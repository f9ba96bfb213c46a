"""The shaded picture: what stands on the stage, camera, page and captions. OpenGL is looked for before it is used."""
