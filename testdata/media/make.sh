#!/bin/sh
# Makes the small clips that the tests of server/media read. Needs ffmpeg. All pictures are test patterns.
set -eu
cd "$(dirname "$0")"
made="-y -v error -fflags +bitexact -flags:v +bitexact -flags:a +bitexact"
when="-metadata creation_time=2026-02-03T10:20:30Z"
picture() { printf 'testsrc2=size=160x120:rate=%s:duration=%s' "$1" "$2"; }
sound="sine=frequency=440:duration=2"
h264="-c:v libx264 -preset slow -crf 36 -g 25 -pix_fmt yuv420p"

# H.264 and AAC, 25 frames a second, index first.
ffmpeg -f lavfi -i "$(picture 25 2)" -f lavfi -i "$sound" $h264 -c:a aac -b:a 32k -shortest $when $made -movflags +faststart h264-25.mp4
# 30000/1001 frames a second, B-frames with an edit list, index last.
ffmpeg -f lavfi -i "$(picture 30000/1001 2)" $h264 -bf 2 $made index-last-2997.mp4
# QuickTime.
ffmpeg -f lavfi -i "$(picture 25 2)" -f lavfi -i "$sound" $h264 -c:a aac -b:a 32k -shortest $when $made -f mov quicktime.mov
# Fragmented: the samples are described along the file.
ffmpeg -f lavfi -i "$(picture 25 2)" $h264 $made -movflags +frag_keyframe+empty_moov fragmented.mp4
# WebM.
ffmpeg -f lavfi -i "$(picture 25 2)" -c:v libvpx-vp9 -b:v 0 -crf 50 $made vp9.webm
# H.265, which browsers usually do not show.
ffmpeg -f lavfi -i "$(picture 25 1)" -c:v libx265 -x265-params log-level=none:info=0 -crf 38 -tag:v hvc1 $made hevc.mp4
# Rate that varies: every third frame is left out of the second half.
ffmpeg -f lavfi -i "$(picture 25 2)" -vf "select='lt(t,1)+mod(n,3)'" -vsync vfr $h264 -bf 0 $made varying.mp4
# Sound alone.
ffmpeg -f lavfi -i "$sound" -c:a aac -b:a 32k $made sound-only.mp4
# Cut short: before the index was written, and in the middle of the data.
head -c 6000 index-last-2997.mp4 > cut-before-index.mp4
size=$(wc -c < h264-25.mp4)
head -c $((size * 6 / 10)) h264-25.mp4 > cut-in-data.mp4
