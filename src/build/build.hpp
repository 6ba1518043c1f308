// What it takes to build a link: parts to pull, a plan of the board, insulation, steps.
#pragma once
