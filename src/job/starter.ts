/** A small job to begin with: an arm bent once, coped onto a post and sawn to length, and a mitered foot. */
export const starterJob = (): string => STARTER;

const STARTER = `# yaml-language-server: $schema=./kerfwright.schema.json
# vim: set ft=yaml ts=2 sw=2 et:
#
# A lamp bracket: an arm comes off a post, bends down and is sawn to length; the post stands on a mitered foot.
# The first line lets an editor check this file as you type: kerfwright schema > kerfwright.schema.json
job: lamp-bracket
about: Arm coped onto a post, post mitered to a foot.

# What a bare number means, mm or in. Any length may carry its own unit: 57.15mm, 2.25in, 2-1/4in, 1/2".
units: mm

# Your printer and saws. Every field has a default; kerfwright check prints them.
shop:
  printer: { bed: [220, 220, 250], nozzle: 0.4, layer: 0.2, material: petg }
  fit: { slide: 0.3 }              # radial clearance between print and tube
  saws:
    bandsaw: { kind: vertical-band, kerf: 1.2, blade: 0.9 }
    chop-saw: { kind: top-down, kerf: 2.4, blade: 2 }
  saw: bandsaw

# Tube sizes. What calipers say goes under measured, and every tool follows it.
sections:
  tube: { kind: round, od: 1-1/2in, wall: 16bwg, material: "304" }
  post: { kind: round, od: 48.3, wall: 3.2, measured: { od: 48.2 } }

# Each member is a section carried along a centerline. Coordinates in the order x, y, z; z is up.
members:
  post:
    section: post
    start: { at: [0, 0, 0], heading: [0, 0, 1], up: [1, 0, 0] }
    run:
      - straight: 600
  foot:
    section: post
    points: [[-250, 0, 0], [0, 0, 0]]
  arm:
    section: tube
    start: { at: [0, 0, 450], heading: [1, 0, 0], up: [0, 0, 1] }
    run:
      - straight: 180
      - bend: { clr: 76.2, angle: 60, toward: down }   # clr may also be a multiple of od: 2D
      - straight: 150

# What happens to the ends. An end is member.start or member.end.
joints:
  - miter: { ends: [foot.end, post.start] }
  - cope: { branch: arm.start, run: post, gap: 0.5 }   # gap: room for the weld
  - trim: { end: arm.end, at: 380 }                    # distance along the centerline from the start of the arm
  # - trim: { end: arm.end, into-bend: 45 }            # instead: cut 45 degrees into the bend

# auto gives each cut end the tools that suit it. Or ask by name:
#   - saw-guide: arm.end
#   - notch-collar: { end: arm.start, surface: outer }
tools: auto
`;
