#!/bin/sh
# Writes the vectors beside it with printf, sha256sum and openssl alone: a route
# that shares no code with the program or the page. An ECDSA signature is
# another one each time, so running it changes the P-256 files.
set -eu
cd "$(dirname "$0")"
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT

h() { printf '%s' "$1" | sha256sum | cut -c1-64; }
hex() { xxd -p | tr -d '\n'; }
url64() { base64 -w0 | tr '+/' '-_' | tr -d '='; }

# The secret keys are those of published test vectors: RFC 8032, section 7.1,
# test 1, and RFC 6979, appendix A.2.5.
seed=9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60
printf '302e020100300506032b657004220420%s' "$seed" | xxd -r -p | openssl pkey -inform DER -out "$work/ed25519.pem"
openssl pkey -in "$work/ed25519.pem" -pubout -outform DER | tail -c 32 > "$work/ed25519.pub"
scalar=c9afa9d845ba75166b5c215767b1d6934e50c3db36e89b127b8a622b120f6721
printf '30310201010420%sa00a06082a8648ce3d030107' "$scalar" | xxd -r -p | openssl ec -inform DER -out "$work/p256.pem" 2>/dev/null
openssl ec -in "$work/p256.pem" -pubout -outform DER 2>/dev/null | tail -c 65 > "$work/p256.pub"

# 32 bytes of an ASN.1 INTEGER in hex, whatever its length.
whole() { printf '%064s' "$(printf '%s' "$1" | sed 's/^\(00\)*//')" | tr ' ' 0; }

sign() { # algorithm; signs $work/text
	if [ "$1" = ed25519 ]; then
		openssl pkeyutl -sign -rawin -inkey "$work/ed25519.pem" -in "$work/text" | url64
		return
	fi
	openssl dgst -sha256 -sign "$work/p256.pem" -out "$work/der" "$work/text"
	numbers=$(openssl asn1parse -inform DER -in "$work/der" | sed -n 's/.*INTEGER *://p' | tr 'A-F' 'a-f')
	for n in $numbers; do whole "$n"; done | xxd -r -p | url64
}

# One vector. The fields of the edit come in as they stand in its JSON.
vector() { # file about algorithm id kind doc parent after author device made reason body decides takes declines n prev checked others
	file=$1 about=$2 alg=$3; shift 3
	key=$(sha256sum "$work/$alg.pub" | cut -c1-32)
	printf '%s\n' "sideport edit 1" "$1" "$(h "$2")" "$(h "$3")" "$4" "$5" "$(h "$6")" "$7" "$(h "$8")" "$(h "$9")" > "$work/lines"
	id=$1 kind=$2 doc=$3 parent=$4 author=$6 device=$7 made=$8 reason=$9; shift 9
	printf '%s\n' "$(h "$1")" "$2" "$3" "$4" "$5 $6" "$key" "$7" >> "$work/lines"
	printf '%s' "$(cat "$work/lines")" > "$work/text"
	text=$(sed ':a;N;$!ba;s/\n/\\n/g' "$work/lines")
	{
		printf '{\n  "about": "%s",\n  "alg": "%s",\n  "public": "%s",\n' "$about" "$alg" "$(hex < "$work/$alg.pub")"
		printf '  "signed": "%s",\n  "hash": "%s",\n' "$text" "$(sha256sum "$work/text" | cut -c1-64)"
		printf '  "edit": {"id":"%s","kind":"%s","doc":"%s","parent":%s,"author":"%s","device":"%s","made":"%s","reason":"%s","body":%s' \
			"${9:-$id}" "$kind" "$doc" "${10:-$parent}" "$author" "$device" "$made" "$reason" "$1"
		printf '%s,"chain":{"n":%s,"prev":"%s"},"key":"%s"' "$8" "$5" "$6" "$key"
		[ "$7" = - ] || printf ',"checked":"%s"' "$7"
		printf ',"sig":"%s"}\n}\n' "$(sign "$alg")"
	} > "$file"
}

id1=0102030405060708090a0b0c0d0e0f10
id2=1112131415161718191a1b1c1d1e1f20
id3=2122232425262728292a2b2c2d2e2f30
id4=3132333435363738393a3b3c3d3e3f40
device=a0a1a2a3a4a5a6a7a8a9aaabacadaeaf
zeros=0000000000000000000000000000000000000000000000000000000000000000
person='{"id":"anna","name":"Anna","roles":["surgeon","unit lead"]}'

for alg in ed25519 p256; do
	vector "first-$alg.json" "the first edit of a device" $alg \
		$id1 person anna 0 - anna $device 2027-03-31T07:42:00Z "" "$person" - - - 1 $zeros - ""
	prev=$(sed -n 's/.*"hash": "\(.*\)".*/\1/p' "first-$alg.json")
	vector "second-$alg.json" "after a waiting edit, after a check by the device alone, with letters beyond ASCII, signs that some JSON escapes and a line break" $alg \
		$id2 person anna 3 $id1 anna $device 2027-03-31T07:43:00Z 'Größe 2 µm <b> & 眼 💧' \
		'{"id":"anna","name":"Änna <3 & 眼 💧","roles":["surgeon"],"note":"a\nb \u2028 é é"}' - - - 2 "$prev" here ",\"after\":\"$id1\""
	vector "lists-$alg.json" "settles two questions, takes two proposals and declines two" $alg \
		$id3 card anna-chop 12 - anna $device 2027-03-31T07:44:00Z "as we said" '{"id":"anna-chop","owner":"anna"}' \
		"$id1,$id2" "$id2,$id4" "$id3:$(h 'too high'),$id1:$(h 'not for “this” card, thanks')" 3 "$prev" - \
		",\"decides\":[\"$id1\",\"$id2\"],\"takes\":[\"$id2\",\"$id4\"],\"declines\":[{\"proposal\":\"$id3\",\"reason\":\"too high\"},{\"proposal\":\"$id1\",\"reason\":\"not for “this” card, thanks\"}]"
	vector "was-$alg.json" "signed under another id, from another revision, and offered anew after a restore" $alg \
		$id3 card anna-chop 12 $id2 anna $device 2027-03-31T07:45:00Z "as we said" '{"id":"anna-chop","owner":"anna"}' \
		- "$id2" "$id1:$(h 'too high')" 4 "$prev" - \
		",\"after\":\"$id1\",\"takes\":[\"$id1\"],\"declines\":[{\"proposal\":\"$id4\",\"reason\":\"too high\"}],\"was\":{\"id\":\"$id3\",\"parent\":12,\"after\":\"$id2\",\"takes\":[\"$id2\"],\"declines\":[\"$id1\"]}" \
		$id4 2
done
